"""Personal data that are due to be deleted: finding them, and doing it."""
