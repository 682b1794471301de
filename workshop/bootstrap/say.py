"""Speaks on the terminal, on the error stream: the standard one belongs to the command."""

import sys


def say(text: str) -> None:
    """Print a line at once."""
    print(text, file=sys.stderr, flush=True)
