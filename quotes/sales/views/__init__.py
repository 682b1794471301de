"""Pages of the stock book: the list, buying, selling, the book itself, what sold bikes teach."""
