"""What is done with the stock book, one verb a file."""
