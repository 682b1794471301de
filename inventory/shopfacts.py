"""What stock must know of the shop and its bikes; the layer above tells it as the site starts."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from decimal import Decimal
from typing import Protocol

from django.core.exceptions import ImproperlyConfigured

from inventory.core.fitting import Facts
from inventory.core.money import minor_unit


@dataclass(frozen=True, slots=True)
class BikeTold:
    """A bike as this layer needs it: what it is called, its page, and its sizes."""

    name: str
    url: str
    facts: Facts


class ShopFacts(Protocol):
    """What the layer above answers."""

    def currency(self) -> str:
        """Return the shop's currency (ISO 4217)."""

    def vat_rate(self, code: str, day: dt.date) -> Decimal:
        """Return the rate of a kind of VAT on a day, as a fraction; 0 where none is kept."""

    def bike(self, number: str) -> BikeTold | None:
        """Return the bike with a stock number, if there is one."""


_told: list[ShopFacts] = []


def tell(facts: ShopFacts) -> None:
    """Take the facts from here on; called once, by the layer above."""
    _told[:] = [facts]


def shop_facts() -> ShopFacts:
    """Return what was told.

    Raises:
        ImproperlyConfigured: nobody told anything.
    """
    if not _told:
        raise ImproperlyConfigured("Call inventory.shopfacts.tell() when the site starts.")
    return _told[0]


def money_unit() -> Decimal:
    """Return the smallest step of the shop's currency."""
    return minor_unit(shop_facts().currency())
