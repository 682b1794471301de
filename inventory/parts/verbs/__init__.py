"""What is done to many parts at once."""
