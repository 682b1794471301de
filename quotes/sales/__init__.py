"""Sales: bikes bought into stock, sold, the statutory stock book, and what they teach."""
