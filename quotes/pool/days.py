"""Days in addresses, as 2026-04-01."""

from __future__ import annotations

import datetime as dt


class DayConverter:
    """Reads and writes a day in an address."""

    regex = r"\d{4}-\d{2}-\d{2}"

    def to_python(self, value: str) -> dt.date:
        """Return the day; ValueError, which Django takes for "no such page", where it is none."""
        return dt.date.fromisoformat(value)

    def to_url(self, value: dt.date) -> str:
        """Return the day as an address writes it."""
        return value.isoformat()
