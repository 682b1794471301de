"""What is done in this room, one verb a file."""
