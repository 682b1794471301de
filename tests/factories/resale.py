"""Comparables as tests want them."""

from __future__ import annotations

import datetime as dt
import math
from decimal import Decimal

import factory
from factory.django import DjangoModelFactory

from quotes.resale.models import Comparable, Dropped, Grade, PriceKind
from tests.factories.bikes import BikeFactory
from tests.factories.people import UserFactory
from workshop.bikes.models import Frame


class ComparableFactory(DjangoModelFactory[Comparable]):
    """A folding bike of six years, sold in good condition for 400."""

    class Meta:
        model = Comparable

    make = "Larkfold"
    model = "Commuter 6"
    frame = Frame.FOLDING
    maker_year = 2019
    condition = Grade.GOOD
    price = Decimal(400)
    kind = PriceKind.SOLD
    seen_on = dt.date(2025, 3, 14)
    entered_by = factory.SubFactory(UserFactory, manager=True)


class DroppedFactory(DjangoModelFactory[Dropped]):
    """A comparable dropped for a bike."""

    class Meta:
        model = Dropped

    comparable = factory.SubFactory(ComparableFactory)
    bike = factory.SubFactory(BikeFactory)
    reason = "sold to a friend"
    by = factory.SubFactory(UserFactory, manager=True)


def on_a_line(count: int, **fields: object) -> list[Comparable]:
    """Make comparables whose prices lie on 600 · 0.93^age, one year of age apart, by one person."""
    by = fields.pop("entered_by", None) or UserFactory.create(manager=True)
    return [
        ComparableFactory.create(
            maker_year=2025 - age,
            price=Decimal(f"{600 * math.pow(0.93, age):.2f}"),
            seen_on=dt.date(2025, 1 + age % 10, 14),
            entered_by=by,
            **fields,
        )
        for age in range(1, count + 1)
    ]
