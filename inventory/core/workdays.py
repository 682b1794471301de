"""Working days: Monday to Friday, public holidays not known."""

from __future__ import annotations

import datetime as dt

SATURDAY = 5


def after(day: dt.date, working_days: int) -> dt.date:
    """Return the day that lies so many working days after another.

    Raises ``ValueError`` for a number below zero.
    """
    if working_days < 0:
        raise ValueError("Count working days forward.")
    found = day
    left = working_days
    while left:
        found += dt.timedelta(days=1)
        left -= found.weekday() < SATURDAY
    return found


def until(day: dt.date, later: dt.date) -> int:
    """Return the fewest working days after a day by which a later one is reached, 0 if it is not.

    A later day on a weekend is reached on the Monday after it.
    """
    count = 0
    while after(day, count) < later:
        count += 1
    return count
