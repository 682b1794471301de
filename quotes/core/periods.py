"""Tax periods: runs of one, two, three or twelve months that begin in a chosen month."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

MONTHS_A_YEAR = 12
LENGTHS = (1, 2, 3, 12)


@dataclass(frozen=True, slots=True)
class Period:
    """From a first day to a last one, both of them in it."""

    starts_on: dt.date
    ends_on: dt.date

    def __contains__(self, day: dt.date) -> bool:
        """Tell whether a day lies in it."""
        return self.starts_on <= day <= self.ends_on


def periods_between(
    first: dt.date, last: dt.date, *, months: int, begins_in: int
) -> tuple[Period, ...]:
    """Return the periods from a day to another; the first begins on the first day given.

    ``months`` is how long a period is, ``begins_in`` a month (1 to 12) in which one begins. The
    last period is whole, even where it ends after ``last``.

    Raises:
        ValueError: the length is not one of ``LENGTHS``, or the month is none.
    """
    if months not in LENGTHS or not 1 <= begins_in <= MONTHS_A_YEAR:
        raise ValueError("A period has 1, 2, 3 or 12 months and begins in a month from 1 to 12.")
    found = []
    start = first
    while start <= last:
        end = _last_day(start, months, begins_in)
        found.append(Period(start, end))
        start = end + dt.timedelta(days=1)
    return tuple(found)


def _last_day(day: dt.date, months: int, begins_in: int) -> dt.date:
    """Return the last day of the period in which a day lies."""
    count = day.year * MONTHS_A_YEAR + day.month - begins_in
    following = count - count % months + months + begins_in - 1
    first_after = dt.date(following // MONTHS_A_YEAR, following % MONTHS_A_YEAR + 1, 1)
    return first_after - dt.timedelta(days=1)
