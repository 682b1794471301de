"""What is done with a job card, one verb a file."""
