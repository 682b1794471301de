"""Keeps what the shop itself sold a bike for as a comparable, and forgets it where it came back."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from decimal import Decimal

from django.db import transaction

from quotes.quoting.trail import signed
from quotes.resale.models import LONGEST_SHELF_DAYS, Comparable, Grade, PriceKind
from workshop.bikes.models import Bike
from workshop.people.models import User


@dataclass(frozen=True, slots=True)
class OwnSale:
    """A sale of the shop's own; ``number`` is its invoice's, ``price`` gross."""

    number: str
    bike: Bike
    price: Decimal
    sold_on: dt.date
    days_on_shelf: int
    condition: Grade
    by: User


@transaction.atomic
def note_own_sale(sold: OwnSale) -> Comparable | None:
    """Return the comparable; None for a bike whose maker's year is not known."""
    bike = sold.bike
    if bike.maker_year is None:
        return None
    made = Comparable(
        make=bike.make,
        model=bike.model,
        frame=bike.frame,
        maker_year=bike.maker_year,
        condition=sold.condition,
        price=sold.price,
        kind=PriceKind.SOLD,
        seen_on=sold.sold_on,
        days_on_shelf=min(sold.days_on_shelf, LONGEST_SHELF_DAYS),
        source=f"own sale, invoice {sold.number}",
        own_sale=sold.number,
        entered_by=sold.by,
    )
    made.set_keys()
    made.full_clean()
    made.save()
    return made


@transaction.atomic
def reprice_own_sale(number: str, price: Decimal, by: User) -> None:
    """Let the comparable of a sale stand at what is left of its price; at nothing it goes."""
    if price <= 0:
        return forget_own_sale(number)
    for each in Comparable.objects.filter(own_sale=number):
        each.price = price
        signed(each, by).save()
    return None


@transaction.atomic
def forget_own_sale(number: str) -> None:
    """Delete the comparable of a sale that was taken back; its history stays."""
    for each in Comparable.objects.filter(own_sale=number):
        each.delete()
