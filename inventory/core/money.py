"""Money: quantising half-up to the currency's minor unit, and showing it."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal
from functools import lru_cache

from babel.numbers import format_currency, get_currency_precision

ZERO = Decimal(0)


@lru_cache(maxsize=64)
def minor_unit(currency: str) -> Decimal:
    """Return the smallest step of a currency, e.g. ``0.01`` for GBP.

    Source: ISO 4217 minor units, as shipped by Babel from CLDR.
    """
    return Decimal(1).scaleb(-get_currency_precision(currency))


def quantise(amount: Decimal, currency: str) -> Decimal:
    """Round an amount half-up to the currency's minor unit; half of it goes away from zero.

    Raises ``decimal.InvalidOperation`` for an amount that is not finite or too long to keep.
    """
    return amount.quantize(minor_unit(currency), rounding=ROUND_HALF_UP) + ZERO  # never -0.00


def format_money(amount: Decimal, currency: str, locale: str = "en_GB") -> str:
    """Return the amount as text with the currency's sign, e.g. ``£12.50``, rounded half-up."""
    return format_currency(quantise(amount, currency), currency, locale=locale)
