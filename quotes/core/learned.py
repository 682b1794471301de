"""What sold bikes teach: work, price and profit as they came out, beside what was expected."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from statistics import median
from typing import TypeVar

from inventory.core.money import quantise

AGE_BANDS = ((0, 3), (4, 7), (8, 12), (13, 20))
"""Whole years of age that are reported together, both ends in.  # common practice, no source"""

Group = TypeVar("Group", bound=Hashable)


@dataclass(frozen=True, slots=True)
class Outcome:
    """How a bike came out beside what was expected when it was bought.

    Costs and profits are the shop's, net of the VAT it gets back; prices are gross. Minutes are
    standard ones and those noted at the bench, None where none were noted. ``days`` run from
    purchase to sale.
    """

    cost_planned: Decimal
    cost: Decimal
    minutes_planned: Decimal
    minutes: Decimal | None
    price_expected: Decimal
    price: Decimal
    profit_expected: Decimal
    profit: Decimal
    days: int

    @property
    def cost_over(self) -> Decimal:
        """Return by how much the work cost more than planned."""
        return self.cost - self.cost_planned

    @property
    def price_over(self) -> Decimal:
        """Return by how much the bike brought more than expected."""
        return self.price - self.price_expected

    @property
    def profit_over(self) -> Decimal:
        """Return by how much more was earned than expected."""
        return self.profit - self.profit_expected


@dataclass(frozen=True, slots=True)
class Medians:
    """The middle of several bikes: half of them lie above.

    ``time_share`` is the minutes noted by the standard ones, None where no bike has both.
    """

    count: int
    cost: Decimal
    cost_over: Decimal
    price_over: Decimal
    profit: Decimal
    profit_over: Decimal
    days: int
    time_share: Decimal | None


def medians(outcomes: Sequence[Outcome], currency: str) -> Medians:
    """Return the medians of outcomes, amounts quantised.

    Raises:
        ValueError: there are none.
    """
    if not outcomes:
        raise ValueError("Nothing was sold, so there is no median.")

    def middle(amounts: Iterable[Decimal]) -> Decimal:
        return quantise(Decimal(median(amounts)), currency)

    shares = [
        each.minutes / each.minutes_planned
        for each in outcomes
        if each.minutes is not None and each.minutes_planned > 0
    ]
    return Medians(
        count=len(outcomes),
        cost=middle(each.cost for each in outcomes),
        cost_over=middle(each.cost_over for each in outcomes),
        price_over=middle(each.price_over for each in outcomes),
        profit=middle(each.profit for each in outcomes),
        profit_over=middle(each.profit_over for each in outcomes),
        days=round(median(each.days for each in outcomes)),
        time_share=Decimal(median(shares)).quantize(Decimal("0.01")) if shares else None,
    )


def age_band(years: int | None) -> str:
    """Return the band of an age in whole years, in words."""
    if years is None:
        return "age not known"
    for first, last in AGE_BANDS:
        if years <= last:
            return f"{first} to {last} years"
    return f"over {AGE_BANDS[-1][1]} years"


def grouped(
    pairs: Iterable[tuple[Group, Outcome]], currency: str
) -> tuple[tuple[Group, Medians], ...]:
    """Return the medians of each group, the largest group first, then as they came."""
    groups: dict[Group, list[Outcome]] = {}
    for group, outcome in pairs:
        groups.setdefault(group, []).append(outcome)
    ranked = sorted(groups.items(), key=lambda each: -len(each[1]))
    return tuple((group, medians(rows, currency)) for group, rows in ranked)
