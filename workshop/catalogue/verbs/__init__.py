"""What is done with the catalogue, one verb a file."""
