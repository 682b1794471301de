"""What happens in an inspection: one verb, one file."""
