"""Pages of the bench: the board, a promise, times; hours and closed days."""
