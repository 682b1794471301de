"""What a bike should bring, and all that the answer rests on."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from quotes.core.market import Market, Seen, market_of
from quotes.core.resale import ENOUGH, Foretold, Method, Resale, resale_price
from quotes.resale.models import Dropped, Grade, PriceKind
from quotes.resale.selectors.rows import Likeness, Row, Wanted, rows_like, wanted_for
from workshop.bikes.models import Bike
from workshop.shop.models import Shop

Notes = dict[int | None, Dropped]


@dataclass(frozen=True, slots=True)
class BasisRow:
    """A row used, and what the others foretell for it; None where there are no others."""

    row: Row
    foretold: Foretold | None


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A row dropped for this bike, and why."""

    row: Row
    dropped: Dropped


@dataclass(frozen=True, slots=True)
class ResaleBasis:
    """The resale price of a bike on a day in a condition, gross, with its rows and facts.

    ``age_years`` is None where the maker's year is not known. Rows stand by how near they are
    to the bike in age, then in condition.
    """

    bike: Bike
    on: dt.date
    age_years: int | None
    condition: Grade
    likeness: Likeness
    resale: Resale
    rows: tuple[BasisRow, ...]
    dropped: tuple[LeftOut, ...]
    market: Market

    @property
    def has_price(self) -> bool:
        """Tell whether there is any basis."""
        return self.resale.method is not Method.NO_BASIS

    @property
    def beyond(self) -> str:
        """Return how the bike lies outside what the rows know, or nothing.

        It is "older" or "younger" than all of them where a line is carried on past its rows.
        """
        if self.resale.method is not Method.REGRESSION or self.age_years is None:
            return ""
        ages = [each.row.age_years for each in self.rows]
        if self.age_years > max(ages):
            return "older"
        return "younger" if self.age_years < min(ages) else ""


def resale_for(
    bike: Bike, on: dt.date, shop: Shop, *, condition: Grade = Grade.GOOD
) -> ResaleBasis:
    """Return what the bike should bring on a day.

    ``condition`` is the grade it will be sold in, not the one it came in: after the work that is
    quoted a bike is "good: fully serviced", so that is what is taken unless said otherwise.

    The rows are those of the same make and model where there are ``ENOUGH`` of them, else of the
    same make, else all of the same kind of frame; those dropped for this bike are not counted.
    Runs one query for what was dropped and at most one for each likeness and source.
    """
    dropped: Notes = {each.comparable_id: each for each in _dropped(bike)}
    likeness, rows = _most_like(wanted_for(bike, on), dropped)
    age = bike.age_years(on)
    used = _nearest_first([row for row in rows if row.comparable_id not in dropped], age, condition)
    resale = resale_price([row.for_core for row in used], age, int(condition), shop.currency)
    return ResaleBasis(
        bike,
        on,
        age,
        condition,
        likeness,
        resale,
        _with_foretold(used, resale),
        tuple(
            LeftOut(row, dropped[row.comparable_id]) for row in rows if row.comparable_id in dropped
        ),
        market_of([_seen(row, resale) for row in used]),
    )


def _dropped(bike: Bike) -> Iterable[Dropped]:
    return Dropped.objects.filter(bike=bike).select_related("by")


def _most_like(wanted: Wanted, dropped: Notes) -> tuple[Likeness, list[Row]]:
    """Return the best likeness that has rows enough, and its rows, dropped ones included."""
    ladder = [each for each in Likeness if wanted.model_key or each is not Likeness.SAME_MODEL]
    for likeness in ladder:
        rows = rows_like(wanted, likeness)
        if sum(row.comparable_id not in dropped for row in rows) >= ENOUGH:
            break
    return likeness, rows


def _nearest_first(rows: Sequence[Row], age: int | None, condition: Grade) -> list[Row]:
    """Return the rows by how near they are to the bike; the latest first among equals."""

    def distance(row: Row) -> tuple[int, int]:
        years = 0 if age is None else abs(row.age_years - age)
        return years, abs(int(row.condition) - int(condition))

    return sorted(rows, key=distance)


def _with_foretold(rows: Sequence[Row], resale: Resale) -> tuple[BasisRow, ...]:
    foretold = {each.key: each for each in resale.foretold}
    return tuple(BasisRow(row, foretold.get(row.key)) for row in rows)


def _seen(row: Row, resale: Resale) -> Seen:
    """Return a row beside what the basis says of it."""
    line = resale.line(row.age_years, int(row.condition))
    ratio = float(row.price) / line if line else 1.0
    return Seen(ratio, row.seen_on.month, row.days_on_shelf, row.kind is PriceKind.ASKED)
