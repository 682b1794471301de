"""What is done with stock, one verb a file."""
