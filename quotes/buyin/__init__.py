"""Deciding to purchase a bike for resale: the margin check."""
