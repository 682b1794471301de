"""What the verbs of this room refuse, each with what is wrong and what to do."""

from __future__ import annotations


class StockError(Exception):
    """Raised where a movement can't be booked; nothing is."""


class NotEnoughError(StockError):
    """Raised where more would go out than is there, or than nobody has reserved."""


class KeyUsedError(StockError):
    """Raised where a key has been used for another movement already."""

    def __init__(self, key: str) -> None:
        super().__init__(
            f"Something else has been booked under “{key}” already. Load the page anew and repeat."
        )
