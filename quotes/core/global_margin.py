"""Global accounting: the margin of cheap second-hand goods pooled by period, not by article."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from inventory.core.money import quantise
from quotes.core.vat import vat_in

ZERO = Decimal(0)


@dataclass(frozen=True, slots=True)
class PoolPeriod:
    """What a pool comes to in a period: its margin, the VAT in it, what goes on to the next.

    ``carried`` is added to the next period's purchases; it is never paid out.
    """

    margin_gross: Decimal
    vat: Decimal
    carried: Decimal


def split_lot(
    prices: Iterable[Decimal], limit: Decimal
) -> tuple[tuple[Decimal, ...], tuple[Decimal, ...]]:
    """Return the purchase prices that must stand alone and those that may be pooled.

    An article bought for exactly the limit may be pooled (HMRC VATMARG03200).
    """
    prices = tuple(prices)
    alone = tuple(price for price in prices if price > limit)
    return alone, tuple(price for price in prices if price <= limit)


def pool_period(
    sales_gross: Decimal,
    purchases_gross: Decimal,
    rate: Decimal,
    currency: str,
    *,
    carried: Decimal = ZERO,
    withdrawn: Decimal = ZERO,
) -> PoolPeriod:
    """Return what a pool comes to in one period; all prices gross, as paid.

    ``carried`` comes from the period before; on joining, the stock in hand at its purchase price
    (VATMARG03450). ``withdrawn`` is the purchase price of goods that leave the pool other than by
    a sale under the scheme (VATMARG03400). Where purchases exceed sales the margin is nil and
    the rest is carried (SI 1995/1268 art 13(3)-(6), in VATMARG03050). Raises ``ValueError`` for
    an amount below zero.
    """
    if min(sales_gross, purchases_gross, carried, withdrawn, rate) < 0:
        raise ValueError("A pool takes no amount below zero.")
    return settle(sales_gross - (purchases_gross - withdrawn + carried), rate, currency)


def settle(balance: Decimal, rate: Decimal, currency: str) -> PoolPeriod:
    """Return what sales less purchases come to: a margin with its VAT, or an excess to carry."""
    if balance < 0:
        return PoolPeriod(ZERO, ZERO, -balance)
    return PoolPeriod(balance, quantise(vat_in(balance, rate), currency), ZERO)


def closing_period(
    sales_gross: Decimal,
    purchases_gross: Decimal,
    closing_stock: Decimal,
    rate: Decimal,
    currency: str,
    *,
    carried: Decimal = ZERO,
    waived_up_to: Decimal = Decimal(1000),
) -> PoolPeriod:
    """Return the last period of a pool: the stock left, at purchase price, counts as sold.

    The adjustment is compulsory (HMRC VATMARG03650) and is waived where the VAT in the stock is
    ``waived_up_to`` or less (HMRC Notice 718, ceasing to use global accounting). That the stock
    counts at its purchase price is from memory.
    """
    waived = quantise(vat_in(closing_stock, rate), currency) <= waived_up_to
    sold = sales_gross if waived else sales_gross + closing_stock
    return pool_period(sold, purchases_gross, rate, currency, carried=carried)
