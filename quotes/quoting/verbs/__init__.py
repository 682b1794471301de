"""What can be done with a quote: one verb, one file."""
