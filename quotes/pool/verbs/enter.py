"""Enters what came into the pool or went out of it, an article or a whole lot."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from decimal import Decimal

from django.db import transaction

from inventory.core.money import format_money, quantise
from quotes.core.global_margin import split_lot
from quotes.pool.models import EntryKind, PoolEntry
from quotes.pool.selectors import COMES_IN, GOES_OUT, pool_limit_on, stands_in_pool
from quotes.pool.verbs.locking import PoolError, locked, refuse_day
from quotes.pool.words import in_words
from workshop.bikes.models import Bike
from workshop.people.models import User
from workshop.shop.models import Shop

SINGLE = (EntryKind.SALE, EntryKind.REDUCED, EntryKind.LEAVING)


class AboveLimitError(PoolError):
    """Raised where an article cost too much to be pooled; ``prices`` are those that did."""

    def __init__(self, prices: Sequence[Decimal], limit: Decimal, day: dt.date, shop: Shop) -> None:
        self.prices = tuple(prices)
        amounts = " and ".join(format_money(each, shop.currency, shop.locale) for each in prices)
        most = format_money(limit, shop.currency, shop.locale)
        one = len(self.prices) == 1
        super().__init__(
            f"{amounts} {'is' if one else 'are'} more than {most}, the most that an article in the "
            f"pool may have cost on {in_words(day)}. Keep {'it' if one else 'them'} out of the "
            f"pool: {'it is' if one else 'each is'} sold under the margin scheme by itself."
        )


@transaction.atomic
def enter(
    *,
    kind: EntryKind,
    day: dt.date,
    prices: Sequence[Decimal],
    description: str,
    by: User,
    shop: Shop,
    bike: Bike | None = None,
) -> list[PoolEntry]:
    """Return the new entries, one for each price.

    ``prices`` are gross, as paid: more than one for a lot that was bought or is in stock. Goods
    that leave, and stock, stand at their purchase price.

    Raises:
        AboveLimitError: an article cost more than the limit of the day.
        PoolError: the day, the bike or the number of prices does not fit.
    """
    pool = locked()
    refuse_day(pool, day)
    amounts = [quantise(each, shop.currency) for each in prices]
    _refuse_amounts(kind, amounts, bike)
    if kind in COMES_IN:
        _refuse_dear(amounts, day, shop)
    if bike is not None:
        _refuse_bike(kind, bike)
    entries = [
        PoolEntry(
            date=day,
            kind=kind,
            bike=bike,
            amount=amount,
            description=_named(description, number, len(amounts)),
            by=by,
        )
        for number, amount in enumerate(amounts, start=1)
    ]
    for entry in entries:
        entry.full_clean(exclude=("reverses",))
        entry.save()
    return entries


def _named(description: str, number: int, of: int) -> str:
    """Return what an entry is called, a piece of a lot with its number."""
    return description if of == 1 else f"{description} (piece {number} of {of})"


def _refuse_amounts(kind: EntryKind, amounts: Sequence[Decimal], bike: Bike | None) -> None:
    """Raise PoolError where there is not one price where one is needed."""
    if not amounts:
        raise PoolError("Write the price.")
    if min(amounts) < 0:
        raise PoolError("A price can't be below zero. To take an entry back, open its period.")
    if len(amounts) > 1 and (kind in SINGLE or bike is not None):
        raise PoolError("Write one price: one article at a time is sold, leaves, or is a bike.")


def _refuse_dear(amounts: Sequence[Decimal], day: dt.date, shop: Shop) -> None:
    """Raise where an article may not be pooled."""
    limit = pool_limit_on(day)
    if limit is None:
        raise PoolError(
            f"The catalogue has no rules of the pool for {in_words(day)}, so the limit for one "
            "article is not known. Enter them in the catalogue first."
        )
    dear, _ = split_lot(amounts, limit)
    if dear:
        raise AboveLimitError(dear, limit, day, shop)


def _refuse_bike(kind: EntryKind, bike: Bike) -> None:
    """Raise PoolError where a bike would come in twice, or go out without having come in."""
    there = stands_in_pool(bike)
    if kind in COMES_IN and there:
        raise PoolError(f"{bike} stands in the pool already.")
    if kind in GOES_OUT and not there:
        raise PoolError(
            f"{bike} does not stand in the pool. Enter first what was paid for it, or sell it "
            "under the margin scheme by itself."
        )
    if kind == EntryKind.REDUCED and there:
        raise PoolError(f"{bike} has not been sold out of the pool. Enter its sale first.")
