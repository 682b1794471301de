"""What is done with the pool, one verb a file."""
