"""What is done with purchase orders, one verb a file."""
