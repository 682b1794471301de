"""Suppliers: who they are, what they sell at what price, from when until when."""
