"""The shop's bench time out of its rows: hours, absences, closed days, public holidays."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from functools import lru_cache

from django.utils import timezone

from workshop.bench.models import (
    Absence,
    BenchSettings,
    SpecialDay,
    WorkingHours,
    time_of,
)
from workshop.core.benchtime import Away, BenchDay, BenchTime, Shift
from workshop.shop.models import Shop

DAYS_LOOKED_AT = 190
"""Half a year: a promise beyond that is none."""
ENGLISH = ("en_GB", "en_US")


def settings_now() -> BenchSettings:
    """Return how the shop promises, as usual where it has chosen nothing."""
    return BenchSettings.objects.filter(pk=1).first() or BenchSettings(pk=1)


@lru_cache(maxsize=64)
def public_holidays(country: str, subdivision: str, year: int) -> Mapping[dt.date, str]:
    """Return a year's public holidays with their names, none where the country is not known.

    An unknown subdivision gives what the whole country keeps.
    """
    import holidays

    try:
        kind = type(holidays.country_holidays(country))
    except NotImplementedError:
        return {}
    language = next((each for each in ENGLISH if each in kind.supported_languages), None)
    part = subdivision if subdivision in kind.subdivisions else None
    return dict(holidays.country_holidays(country, subdiv=part, years=year, language=language))


@lru_cache(maxsize=16)
def subdivisions(country: str) -> tuple[tuple[str, str], ...]:
    """Return the parts of a country that keep holidays of their own, as (code, name)."""
    import holidays

    try:
        kind = type(holidays.country_holidays(country))
    except NotImplementedError:
        return ()
    names = {code: name for name, code in kind.subdivisions_aliases.items()}
    pairs = ((code, names.get(code, code)) for code in kind.subdivisions)
    return tuple(sorted(pairs, key=lambda each: each[1]))


def closed_days(
    first: dt.date, last: dt.date, shop: Shop, chosen: BenchSettings
) -> dict[dt.date, str]:
    """Return the closed days from the first to the last, with their reasons."""
    closed: dict[dt.date, str] = {}
    if chosen.keeps_holidays:
        for year in range(first.year, last.year + 1):
            closed |= public_holidays(shop.country, chosen.subdivision, year)
    rows = SpecialDay.objects.filter(last__gte=first, first__lte=last)
    for row in sorted(rows, key=lambda each: not each.is_open):
        for day in days_between(max(row.first, first), min(row.last, last)):
            if row.is_open:
                closed.pop(day, None)
            else:
                closed[day] = row.reason
    return {day: reason for day, reason in closed.items() if first <= day <= last}


def bench_time(first: dt.date, last: dt.date, shop: Shop, chosen: BenchSettings) -> BenchTime:
    """Return who is at the bench when, in a constant number of queries."""
    rows = WorkingHours.objects.filter(person__user__is_active=True).select_related("person")
    shifts = [
        Shift(
            str(row.person_id),
            row.weekday,
            time_of(row.starts),
            time_of(row.ends),
            row.pause,
            float(row.person.bench_share),
        )
        for row in rows
    ]
    gone = Absence.objects.filter(last__gte=first, first__lte=last)
    away = [Away(str(row.person_id), row.first, row.last) for row in gone]
    return BenchTime(shifts, away, closed_days(first, last, shop, chosen))


def bench_days(shop: Shop, chosen: BenchSettings, now: dt.datetime | None = None) -> list[BenchDay]:
    """Return the days looked at, from now on; of today, what is left of it."""
    moment = timezone.localtime(now)
    last = moment.date() + dt.timedelta(days=DAYS_LOOKED_AT - 1)
    time = bench_time(moment.date(), last, shop, chosen)
    return time.days(moment.replace(tzinfo=None), DAYS_LOOKED_AT)


def days_between(first: dt.date, last: dt.date) -> list[dt.date]:
    """Return the days from the first to the last."""
    return [first + dt.timedelta(days=each) for each in range((last - first).days + 1)]
