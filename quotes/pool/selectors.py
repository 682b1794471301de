"""Reading the pool: its rules of a day, its periods with their results, its entries."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import QuerySet

from inventory.parts.models import VatCode
from quotes.core.periods import Period, periods_between
from quotes.core.pool import Carry, PoolMoves, PoolResult, run_pool
from quotes.pool.models import EntryKind, MarginLegend, Pool, PoolEntry, PoolReturn, PoolRule
from workshop.bikes.models import Bike
from workshop.shop.models import Shop, VatRate

ZERO = Decimal(0)
FIELD_OF = {
    EntryKind.PURCHASE: "purchases",
    EntryKind.SALE: "sales",
    EntryKind.LEAVING: "withdrawn",
    EntryKind.OPENING: "opening",
    EntryKind.CLOSING: "closing",
}
COMES_IN = (EntryKind.PURCHASE, EntryKind.OPENING)
GOES_OUT = (EntryKind.SALE, EntryKind.LEAVING)


def rule_on(day: dt.date) -> PoolRule | None:
    """Return the rules of the pool in force on a day, None where none are entered."""
    return PoolRule.objects.filter(valid_from__lte=day).first()


def pool_limit_on(day: dt.date) -> Decimal | None:
    """Return the most an article in the pool may have cost on a day, None where not known."""
    rule = rule_on(day)
    return rule.item_limit if rule else None


def legend_on(day: dt.date) -> str:
    """Return the words that a margin-scheme invoice of a day must carry, empty where not known."""
    row = MarginLegend.objects.filter(valid_from__lte=day).first()
    return row.words if row else ""


def current_pool() -> Pool | None:
    """Return how the shop pools, None where it does not."""
    return Pool.objects.filter(pk=1).first()


@dataclass(frozen=True, slots=True)
class PeriodView:
    """A period with its result and, once declared, what was declared."""

    result: PoolResult
    declared: PoolReturn | None
    running: bool
    rate_changes: bool
    next_to_declare: bool = False

    @property
    def period(self) -> Period:
        """Return its first and last day."""
        return Period(self.result.moves.starts_on, self.result.moves.ends_on)

    @property
    def differs(self) -> bool:
        """Tell whether it would come to something else now than was declared."""
        kept, now = self.declared, self.result.period
        return kept is not None and (kept.vat, kept.carried) != (now.vat, now.carried)


@dataclass(frozen=True, slots=True)
class PoolPage:
    """The pool as its pages show it; ``periods`` stand newest first."""

    pool: Pool
    rule: PoolRule | None
    periods: tuple[PeriodView, ...]
    left_on: dt.date | None

    @property
    def waiting(self) -> int:
        """Return how many periods have ended and are not declared."""
        return sum(not (each.declared or each.running) for each in self.periods)

    def period_from(self, day: dt.date) -> PeriodView | None:
        """Return the period that begins on a day."""
        found = (each for each in self.periods if each.period.starts_on == day)
        return next(found, None)


def pool_page(pool: Pool, shop: Shop, today: dt.date) -> PoolPage:
    """Return the pool's periods up to today; four queries however many there are."""
    entries = list(PoolEntry.objects.values_list("date", "kind", "amount"))
    rates = list(VatRate.objects.filter(code=VatCode.STANDARD).order_by("valid_from"))
    declared = {row.starts_on: row for row in PoolReturn.objects.select_related("by")}
    rule = rule_on(today)
    left_on = left_since(entries)
    periods = periods_between(
        pool.joined_on, left_on or today, months=pool.months, begins_in=pool.begins_in
    )
    results = run_pool(
        moves_of(periods, entries, rates),
        shop.currency,
        carry=Carry(rule.carry) if rule else Carry.ALWAYS,
        waived_up_to=rule.waived_up_to if rule else None,
    )
    waiting = [each for each in periods if each.starts_on not in declared][:1]
    views = tuple(
        PeriodView(
            result,
            declared.get(period.starts_on),
            running=today in period and left_on is None,
            rate_changes=any(period.starts_on < row.valid_from <= period.ends_on for row in rates),
            next_to_declare=period in waiting and (period.ends_on < today or left_on is not None),
        )
        for period, result in zip(periods, results, strict=True)
    )
    return PoolPage(pool, rule, views[::-1], left_on)


def moves_of(
    periods: Iterable[Period],
    entries: Iterable[tuple[dt.date, str, Decimal]],
    rates: Sequence[VatRate],
) -> list[PoolMoves]:
    """Return what moved in each period; the rate is that of the period's last day.

    What was paid back of a price lowers the sales of the period in which that happened.
    """
    periods = list(periods)
    sums: dict[tuple[dt.date, str], Decimal] = defaultdict(Decimal)
    for day, kind, amount in entries:
        starts_on = next((each.starts_on for each in periods if day in each), None)
        if starts_on and kind == EntryKind.REDUCED:
            sums[starts_on, EntryKind.SALE] -= amount
        elif starts_on:
            sums[starts_on, kind] += amount
    return [
        PoolMoves(
            each.starts_on,
            each.ends_on,
            rate_on(each.ends_on, rates),
            **{field: sums[each.starts_on, kind] for kind, field in FIELD_OF.items()},
        )
        for each in periods
    ]


def rate_on(day: dt.date, rates: Iterable[VatRate]) -> Decimal:
    """Return the rate in force on a day of rows sorted by their days, zero where there is none."""
    in_force = [row.rate for row in rates if row.valid_from <= day]
    return in_force[-1] if in_force else ZERO


def left_since(entries: Iterable[tuple[dt.date, str, Decimal]]) -> dt.date | None:
    """Return the day on which the shop left the pool, None while it pools.

    It is that of the stock on leaving, unless that has been taken back.
    """
    stock: dict[dt.date, Decimal] = defaultdict(Decimal)
    for day, kind, amount in entries:
        if kind == EntryKind.CLOSING:
            stock[day] += amount
    return max((day for day, amount in stock.items() if amount > 0), default=None)


def entries_in(period: Period) -> QuerySet[PoolEntry]:
    """Return the entries of a period, each with its bike, its person and what took it back."""
    rows = PoolEntry.objects.filter(date__gte=period.starts_on, date__lte=period.ends_on)
    return rows.select_related("bike", "by", "reverses", "reversal").order_by("date", "pk")


def stands_in_pool(bike: Bike) -> bool:
    """Tell whether a bike came into the pool and has not gone out of it."""
    stand = 0
    for kind, reverses in PoolEntry.objects.filter(bike=bike).values_list("kind", "reverses"):
        step = (kind in COMES_IN) - (kind in GOES_OUT)
        stand += -step if reverses else step
    return stand > 0


def declared_until() -> dt.date | None:
    """Return the last day that has been declared."""
    return PoolReturn.objects.values_list("ends_on", flat=True).first()
