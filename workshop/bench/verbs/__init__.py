"""What people do with the bench's hours and promises, one business action a file."""
