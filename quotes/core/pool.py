"""A pool's periods one after another: what each is taxed on, and what it hands to the next."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from inventory.core.money import quantise
from quotes.core.global_margin import PoolPeriod, settle
from quotes.core.vat import ReturnBoxes, vat_in

ZERO = Decimal(0)


class Carry(StrEnum):
    """How far an excess of purchases is carried."""

    ALWAYS = "always"
    WITHIN_YEAR = "year"


@dataclass(frozen=True, slots=True)
class PoolMoves:
    """What went in and out of a pool in one period; all amounts gross, as paid.

    ``rate`` is a fraction. ``withdrawn`` is the purchase price of goods that left the pool other
    than by a sale under the scheme, ``opening`` that of the stock in hand on joining, ``closing``
    that of the stock in hand on leaving. A sum may be below zero where it takes back more than
    it holds, the closing stock excepted.
    """

    starts_on: dt.date
    ends_on: dt.date
    rate: Decimal
    sales: Decimal = ZERO
    purchases: Decimal = ZERO
    withdrawn: Decimal = ZERO
    opening: Decimal = ZERO
    closing: Decimal = ZERO


@dataclass(frozen=True, slots=True)
class PoolResult:
    """What a period comes to.

    ``brought`` came from the period before, ``dropped`` was lost because the year had ended.
    ``closing_counted`` is the closing stock that counts as sold: nothing where it is waived.
    """

    moves: PoolMoves
    brought: Decimal
    dropped: Decimal
    closing_counted: Decimal
    period: PoolPeriod

    @property
    def sold(self) -> Decimal:
        """Return the sales, with the closing stock that counts as sold."""
        return self.moves.sales + self.closing_counted

    @property
    def closing_waived(self) -> bool:
        """Tell whether there was closing stock with too little VAT in it to count."""
        return self.moves.closing > 0 and not self.closing_counted

    @property
    def margin_net(self) -> Decimal:
        """Return the margin without the VAT in it."""
        return self.period.margin_gross - self.period.vat

    @property
    def boxes(self) -> ReturnBoxes:
        """Return what the period puts into a British VAT return.

        Box 1: the VAT; 6: sales less that VAT; 7: what was bought in the period, at full price,
        whether it stayed in the pool or not. Source: HMRC Notice 718, VAT return section.
        """
        vat = self.period.vat
        return ReturnBoxes(box_1=vat, box_6=self.sold - vat, box_7=self.moves.purchases)


def run_pool(
    periods: Iterable[PoolMoves],
    currency: str,
    *,
    carry: Carry = Carry.ALWAYS,
    waived_up_to: Decimal | None = Decimal(1000),
) -> tuple[PoolResult, ...]:
    """Return what each period of a pool comes to, given in order.

    Where purchases exceed sales the margin is nil, and the excess is added to the next period's
    purchases (SI 1995/1268 art 13(3)-(6), in VATMARG03050). With ``Carry.WITHIN_YEAR`` it ends
    with the calendar year in which it arose, as under § 25a UStG.  # from memory
    The stock left on leaving counts as sold at its purchase price (VATMARG03650; that price from
    memory), unless the VAT in it is ``waived_up_to`` or less (HMRC Notice 718); None waives
    nothing.

    Raises:
        ValueError: the periods overlap or are out of order; closing stock or rate is below zero.
    """
    results: list[PoolResult] = []
    for moves in periods:
        last = results[-1] if results else None
        _refuse(moves, last)
        brought = last.period.carried if last else ZERO
        dropped = ZERO
        if last and carry is Carry.WITHIN_YEAR and _year_ended(last.moves, moves):
            brought, dropped = ZERO, brought
        counted = _closing_counted(moves, currency, waived_up_to)
        bought = moves.purchases + moves.opening - moves.withdrawn + brought
        period = settle(moves.sales + counted - bought, moves.rate, currency)
        results.append(PoolResult(moves, brought, dropped, counted, period))
    return tuple(results)


def _refuse(moves: PoolMoves, last: PoolResult | None) -> None:
    """Raise ValueError where a period can't follow the last one, or holds what can't be."""
    if moves.ends_on < moves.starts_on or (last and moves.starts_on <= last.moves.ends_on):
        raise ValueError("A pool's periods must follow one another in order.")
    if min(moves.closing, moves.rate) < 0:
        raise ValueError("The stock on leaving, or a rate, can't be below zero.")


def _year_ended(last: PoolMoves, moves: PoolMoves) -> bool:
    """Tell whether a new calendar year began between the ends of two periods."""
    return last.ends_on.year != moves.ends_on.year


def _closing_counted(moves: PoolMoves, currency: str, waived_up_to: Decimal | None) -> Decimal:
    """Return the closing stock that counts as sold."""
    vat = quantise(vat_in(moves.closing, moves.rate), currency)
    waived = waived_up_to is not None and vat <= waived_up_to
    return ZERO if waived else moves.closing
