"""Purchasing: what is short, purchase orders and their deliveries, when to order anew."""
