"""What can be done with a customer's answer: one verb, one file."""
