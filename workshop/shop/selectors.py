"""Reading the shop and its VAT rates."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

from django.http import HttpRequest

from workshop.shop.models import Shop, VatRate


def current_shop() -> Shop:
    """Return the one shop, with defaults where it has not been set up yet (unsaved)."""
    return Shop.objects.filter(pk=1).first() or Shop(pk=1, name="Our workshop")


def shop_of(request: HttpRequest) -> Shop:
    """Return the shop, read once a request."""
    found: Shop | None = getattr(request, "_shop", None)
    if found is None:
        found = current_shop()
        request._shop = found  # type: ignore[attr-defined] # noqa: SLF001 - our own per-request cache
    return found


def vat_rates_on(day: dt.date) -> dict[str, Decimal]:
    """Return the VAT rate of each kind, as a fraction, in force on a day."""
    rates: dict[str, Decimal] = {}
    for row in VatRate.objects.filter(valid_from__lte=day).order_by("valid_from"):
        rates[row.code] = row.rate
    return rates
