"""Commands of the shop: demo and test."""
