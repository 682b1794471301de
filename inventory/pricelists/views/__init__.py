"""Pages of incoming price lists: sending, reading, finishing."""
