"""Commands of the pool."""
