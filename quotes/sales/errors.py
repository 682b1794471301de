"""What this room refuses, each with what is wrong and what to do."""

from __future__ import annotations


class SalesError(Exception):
    """Raised where something can't be bought, sold or taken back; ``reasons`` are sentences."""

    def __init__(self, *reasons: str) -> None:
        self.reasons = reasons
        super().__init__(" ".join(reasons))
