"""Comparables from a CSV file: what its columns mean, what is wrong in it, what it would add."""
