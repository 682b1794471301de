"""The demo shop's hours at the bench, who is away, and a closed day; invented."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from decimal import Decimal

from django.utils import timezone

from workshop.bench.models import Absence, BenchSettings, SpecialDay
from workshop.bench.verbs.set_hours import Hours, set_hours
from workshop.people.models import User

NINE, TWO, HALF_PAST_FIVE = 9 * 60, 14 * 60, 17 * 60 + 30
HALF_AN_HOUR = 30
FULL = tuple(Hours(day, NINE, HALF_PAST_FIVE, HALF_AN_HOUR) for day in range(5))
LATE_WEEK = tuple(Hours(day, NINE, HALF_PAST_FIVE, HALF_AN_HOUR) for day in range(1, 6))
MORNINGS = tuple(Hours(day, NINE, TWO) for day in range(4))
WEEKS = ((FULL, "0.75"), (LATE_WEEK, "0.7"), (MORNINGS, "0.8"))
"""The week of the first, second and third mechanic, and how much of it is at the bench."""
STOCKTAKING_IN, HOLIDAY_IN = 16, 9


def set_bench_hours(mechanics: Sequence[User]) -> None:
    """Enter the mechanics' hours, an absence of the last one, and a day of stocktaking."""
    today = timezone.localdate()
    BenchSettings.objects.create(pk=1, subdivision="ENG")
    people = [
        set_hours(user, hours, bench_share=Decimal(share))
        for user, (hours, share) in zip(mechanics, WEEKS, strict=False)
    ]
    away = today + dt.timedelta(days=HOLIDAY_IN)
    Absence.objects.create(
        person=people[-1], first=away, last=away + dt.timedelta(days=2), reason="holiday"
    )
    closed = _workday(today + dt.timedelta(days=STOCKTAKING_IN))
    SpecialDay.objects.create(first=closed, last=closed, reason="stocktaking")


def _workday(day: dt.date) -> dt.date:
    """Return the day, or the Monday after it where it falls on a weekend."""
    return day + dt.timedelta(days=max(7 - day.weekday(), 0) if day.weekday() > 4 else 0)  # noqa: PLR2004 - Friday
