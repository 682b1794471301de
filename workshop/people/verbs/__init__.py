"""What is done with people's logins, one verb a file."""
