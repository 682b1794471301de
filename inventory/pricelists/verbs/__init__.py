"""What is done with an incoming price list, one verb a file."""
