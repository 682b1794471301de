"""Quotes, their revisions and their lines."""
