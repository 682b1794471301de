"""What is done with suppliers, one verb a file."""
