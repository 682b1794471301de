"""Parts and, later, the stock that is kept of them: the lowest layer."""
