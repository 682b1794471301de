"""Template tags of the pool."""
