"""Customers and sellers."""
