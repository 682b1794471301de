"""Tells the layer of stock what it must know of the shop and its bikes."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

from django.urls import reverse

from inventory.shopfacts import BikeTold
from workshop.bikes.fitting import facts_of
from workshop.bikes.models import Bike
from workshop.shop.selectors import current_shop, vat_rates_on


class Told:
    """The shop's currency, VAT rates and bikes, read when they are asked for."""

    def currency(self) -> str:
        """Return the shop's currency (ISO 4217)."""
        return current_shop().currency

    def vat_rate(self, code: str, day: dt.date) -> Decimal:
        """Return the rate of a kind of VAT on a day; 0 where the shop is not registered."""
        if not current_shop().vat_registered:
            return Decimal(0)
        return vat_rates_on(day).get(code, Decimal(0))

    def bike(self, number: str) -> BikeTold | None:
        """Return the bike with a stock number, its sizes as far as they are kept."""
        bike = Bike.objects.filter(stock_no__iexact=number.strip()).first()
        if bike is None:
            return None
        return BikeTold(str(bike), reverse("bikes:detail", args=(bike.pk,)), facts_of(bike))
