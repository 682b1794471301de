"""Commands of the demo shop."""
