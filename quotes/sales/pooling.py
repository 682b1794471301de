"""The stock book and global accounting: one entry of the pool for each thing that happens.

What somebody entered into the pool by hand before is taken for the purchase or sale that it is,
so that nothing is counted twice.
"""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

from inventory.core.money import format_money
from quotes.core.margin import Scheme
from quotes.pool.models import EntryKind, PoolEntry
from quotes.pool.selectors import current_pool, left_since, pool_limit_on, stands_in_pool
from quotes.pool.verbs.enter import enter
from quotes.pool.verbs.locking import PoolError
from quotes.pool.verbs.reverse import reverse_entry
from quotes.sales.errors import SalesError
from quotes.sales.models import Purchase, Sale
from workshop.bikes.models import Bike
from workshop.people.models import User
from workshop.shop.models import Shop


def may_be_pooled(scheme: Scheme, price: Decimal, day: dt.date) -> bool:
    """Tell whether the shop pools on a day, and a bike at that price and scheme can go in."""
    pool = current_pool()
    limit = pool_limit_on(day)
    if pool is None or limit is None or scheme is not Scheme.MARGIN:
        return False
    return pool.joined_on <= day and not _left(day) and price <= limit


def pooled_in(bike: Bike, price: Decimal, day: dt.date, *, by: User, shop: Shop) -> PoolEntry:
    """Return the entry of a purchase: that made by hand before, else a new one.

    Raises:
        SalesError: the pool refuses, or holds the bike at another price.
    """
    if stands_in_pool(bike):
        kinds = (EntryKind.PURCHASE, EntryKind.OPENING)
        return _there_before(bike, kinds, price, shop, "stock_purchase")
    return _entered(EntryKind.PURCHASE, bike, price, day, by, shop)


def pooled_out(
    purchase: Purchase, price: Decimal, day: dt.date, *, by: User, shop: Shop
) -> PoolEntry | None:
    """Return the entry of a sale; None where the bike is not pooled or the pool was left before.

    Raises:
        SalesError: the pool refuses, or says that the bike went out otherwise.
    """
    if not purchase.is_pooled or _left(day):
        return None
    if not stands_in_pool(purchase.bike):
        return _there_before(purchase.bike, (EntryKind.SALE,), price, shop, "stock_sale")
    return _entered(EntryKind.SALE, purchase.bike, price, day, by, shop)


def pooled_back(sale: Sale, reason: str, *, by: User) -> PoolEntry | None:
    """Return the entry that takes a sale out of the pool again; None where it was not in.

    What lowered it since is taken back with it.

    Raises:
        SalesError: the pool refuses.
    """
    if sale.pool_entry is None:
        return None
    for entry in PoolEntry.objects.filter(stock_reduction__sale=sale).order_by("pk"):
        _taken_back(entry, reason, by)
    return _taken_back(sale.pool_entry, reason, by)


def pooled_less(
    sale: Sale, amount: Decimal, day: dt.date, *, by: User, shop: Shop
) -> PoolEntry | None:
    """Return the entry by which the pool's sales fall; None where the sale is not in the pool.

    Raises:
        SalesError: the pool refuses, as on a day that was declared.
    """
    if sale.pool_entry is None:
        return None
    bike = sale.purchase.bike
    rows = PoolEntry.objects.filter(
        bike=bike, kind=EntryKind.REDUCED, amount=amount, reverses__isnull=True
    )
    by_hand = rows.filter(reversal__isnull=True, stock_reduction__isnull=True).first()
    return by_hand or _entered(EntryKind.REDUCED, bike, amount, day, by, shop)


def pooled_off(purchase: Purchase, reason: str, *, by: User) -> PoolEntry | None:
    """Return the entry that takes a purchase out of the pool again; None where it was not in.

    Raises:
        SalesError: the pool refuses.
    """
    entry = purchase.pool_entry
    return None if entry is None else _taken_back(entry, reason, by)


def _taken_back(entry: PoolEntry, reason: str, by: User) -> PoolEntry:
    """Return what takes an entry back: that made by hand before, else a new one."""
    before = PoolEntry.objects.filter(reverses=entry).first()
    if before is not None:
        return before
    try:
        return reverse_entry(entry, reason=reason, by=by)
    except PoolError as error:
        raise SalesError(f"Global accounting: {error}") from error


def _left(day: dt.date) -> bool:
    """Tell whether the shop had left the pool before a day."""
    left = left_since(PoolEntry.objects.values_list("date", "kind", "amount"))
    return left is not None and day > left


def _entered(
    kind: EntryKind, bike: Bike, price: Decimal, day: dt.date, by: User, shop: Shop
) -> PoolEntry:
    """Return a new entry of the pool."""
    try:
        (made,) = enter(
            kind=kind,
            day=day,
            prices=[price],
            description=f"{bike.make} {bike.model}".strip(),
            by=by,
            shop=shop,
            bike=bike,
        )
    except PoolError as error:
        raise SalesError(f"Global accounting: {error}") from error
    return made


def _there_before(
    bike: Bike, kinds: tuple[EntryKind, ...], price: Decimal, shop: Shop, taken: str
) -> PoolEntry:
    """Return the last standing entry of a bike that was made by hand and is nobody's yet."""
    rows = PoolEntry.objects.filter(
        bike=bike, reverses__isnull=True, reversal__isnull=True, kind__in=kinds
    )
    found = rows.filter(**{f"{taken}__isnull": True}).order_by("-pk").first()
    if found is None:
        raise SalesError(
            f"Global accounting says that {bike} has left the pool. Take that entry back first."
        )
    if found.amount != price:
        amount = format_money(found.amount, shop.currency, shop.locale)
        raise SalesError(
            f"Global accounting has {bike} entered by hand at {amount}. Take that entry back, or "
            "write the same price here."
        )
    return found
