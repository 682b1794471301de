"""The bench: its hours, finish-day promises, the board of open cards, times learned from."""
