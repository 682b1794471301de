"""What is done with a provenance check, one verb a file."""
