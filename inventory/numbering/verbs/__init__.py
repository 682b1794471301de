"""What is done with running numbers, one verb a file."""
