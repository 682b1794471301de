"""Rows that a price can rest on, from every source, by how like the bike they are."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from django.db.models import QuerySet

from quotes.core import resale as core
from quotes.resale.models import Comparable, Grade, PriceKind, likeness_key
from workshop.bikes.models import Bike, Frame

LATEST = 200
"""Rows taken from a source, the latest first: older prices say little and cost time."""


class Likeness(StrEnum):
    """How like the bike the rows are, best first."""

    SAME_MODEL = "same make and model"
    SAME_MAKE = "same make"
    SAME_FRAME = "same kind of frame"


@dataclass(frozen=True, slots=True)
class Wanted:
    """What rows are looked for: like this, and seen by that day."""

    make_key: str
    model_key: str
    frame: Frame
    on: dt.date


@dataclass(frozen=True, slots=True)
class Row:
    """A known price of a like bike, gross; ``comparable_id`` is None where it cannot be edited."""

    key: str
    comparable_id: int | None
    name: str
    maker_year: int
    age_years: int
    condition: Grade
    price: Decimal
    kind: PriceKind
    seen_on: dt.date
    days_on_shelf: int | None
    source: str
    own_sale: bool = False

    @property
    def for_core(self) -> core.Comparable:
        """Return the row as the arithmetic takes it."""
        return core.Comparable(self.key, self.price, self.age_years, int(self.condition))


Source = Callable[[Wanted, Likeness], list[Row]]


def wanted_for(bike: Bike, on: dt.date) -> Wanted:
    """Return what to look for."""
    return Wanted(likeness_key(bike.make), likeness_key(bike.model), Frame(bike.frame), on)


def comparables_like(wanted: Wanted, likeness: Likeness) -> list[Row]:
    """Return the latest comparables that are like the bike, in one query."""
    found: QuerySet[Comparable] = Comparable.objects.filter(
        frame=wanted.frame, seen_on__lte=wanted.on
    )
    if likeness is not Likeness.SAME_FRAME:
        found = found.filter(make_key=wanted.make_key)
    if likeness is Likeness.SAME_MODEL:
        found = found.filter(model_key=wanted.model_key)
    return [_row(each) for each in found[:LATEST]]


def _row(each: Comparable) -> Row:
    return Row(
        f"c{each.pk}",
        each.pk,
        f"{each.make} {each.model}".strip(),
        each.maker_year,
        each.age_years,
        Grade(each.condition),
        each.price,
        PriceKind(each.kind),
        each.seen_on,
        each.days_on_shelf,
        each.source,
        each.is_own_sale,
    )


SOURCES: tuple[Source, ...] = (comparables_like,)
"""Where rows come from; another kind of known price is one more function here."""


def rows_like(wanted: Wanted, likeness: Likeness) -> list[Row]:
    """Return the latest rows of all sources."""
    rows = [row for source in SOURCES for row in source(wanted, likeness)]
    return sorted(rows, key=lambda row: row.seen_on, reverse=True)[:LATEST]
