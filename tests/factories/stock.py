"""Stock, made up for tests: goods in, drawn, by way of the verbs."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal
from itertools import count as counter
from typing import Any

from django.utils import timezone

from inventory.parts.models import Part
from inventory.stock.models import StockMovement
from inventory.stock.verbs.draw import draw
from inventory.stock.verbs.goods_in import goods_in
from tests.factories.parts import PartFactory
from tests.factories.people import UserFactory

_numbers = counter(1)


def a_key() -> str:
    """Return a key that no other movement has."""
    return f"test:{next(_numbers)}"


def days_ago(days: float) -> dt.datetime:
    """Return the same time of day some days back, also where the clocks were changed since."""
    return timezone.localtime() - dt.timedelta(days=days)


def booked(days: float) -> dict[str, Any]:
    """Return a key of its own, and the time."""
    return {"key": a_key(), "at": days_ago(days) if days else None}


def come_in(
    part: Part, quantity: object, each: object = "4.00", *, days: float = 0, by=None, **more: Any
) -> StockMovement:
    """Book goods in, some days ago."""
    return goods_in(
        part,
        quantity=Decimal(str(quantity)),
        unit_cost=Decimal(str(each)),
        by=by or UserFactory.create(),
        **booked(days) | more,
    )


def take(part: Part, quantity: object, *, days: float = 0, by=None, **more: Any) -> StockMovement:
    """Draw, some days ago."""
    return draw(
        part,
        quantity=Decimal(str(quantity)),
        by=by or UserFactory.create(),
        **booked(days) | more,
    )


def stocked(quantity: object = 5, each: object = "4.00", **part: object) -> Part:
    """Return a part of which there are some."""
    made = PartFactory.create(**part)
    come_in(made, quantity, each, days=30)
    return made
