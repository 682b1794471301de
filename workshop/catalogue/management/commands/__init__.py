"""Commands of the catalogue, one a file."""
