"""What is done with comparables, one verb a file."""
