"""What people are told when something about hours or promises is refused."""

from __future__ import annotations


class BenchError(Exception):
    """Raised where something about the bench can't be done; ``field`` names what it is about."""

    def __init__(self, message: str, field: str = "") -> None:
        self.field = field
        super().__init__(message)
