"""Reading the stock book: what stands in stock, the book itself, and what sold bikes teach."""
