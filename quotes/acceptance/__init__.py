"""The answer of the customer, line by line."""
