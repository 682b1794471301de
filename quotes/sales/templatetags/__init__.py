"""Template tags of the stock book."""
