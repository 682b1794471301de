"""What is done with bikes, one verb a file."""
