"""Counting months back."""

from __future__ import annotations

import calendar
import datetime as dt

MONTHS_A_YEAR = 12


def months_before(day: dt.date, months: int) -> dt.date:
    """Return the same day so many months earlier; the last of its month where there is none."""
    count = day.year * MONTHS_A_YEAR + day.month - 1 - months
    year, month = count // MONTHS_A_YEAR, count % MONTHS_A_YEAR + 1
    return dt.date(year, month, min(day.day, calendar.monthrange(year, month)[1]))
