"""A long list of parts, made in bulk: levels, movements, facts of fit, and who sells them."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from decimal import Decimal

from django.db import connection
from django.db.models import Model
from django.utils import timezone

from inventory.parts.models import FitFacts, Part
from inventory.stock.models import MovementKind, StockLevel, StockMovement
from inventory.suppliers.models import SupplierPart
from tests.factories.people import UserFactory
from tests.factories.suppliers import SupplierFactory

BATCH = 2000
SOLD = 10
"""Every tenth is sold by somebody."""
WORDS = ("Spoke", "Brake block", "Inner tube", "Chain", "Bearing", "Cable", "Saddle", "Grip")
PLACES = 40
BEAD_SEATS_MM = (305, 349, 355, 406, 451, 559, 622)


def a_part(n: int) -> Part:
    """Return the nth part; every fiftieth is short."""
    name = f"{WORDS[n % len(WORDS)]} {n} mm, batch {n % 997}"
    money = {"cost_net": 1 + n % 90, "price_net": 2 * (1 + n % 90)}
    place = f"{'ABCD'[n % 4]}{n % PLACES // 4:02}"
    minimum = 5 if n % 50 == 0 else 0
    return Part(code=f"p-{n:06}", name=name, place=place, minimum=minimum, markup=1, **money)


def long_stock(count: int) -> list[Part]:
    """Make parts in a few queries, each with a level and two movements that add up to it."""
    start, by = Part.objects.count(), UserFactory.create()
    made = Part.objects.bulk_create(map(a_part, range(start, start + count)), batch_size=BATCH)
    at, day = timezone.now() - dt.timedelta(days=30), dt.date(2026, 1, 1)
    maker = SupplierFactory.create()
    bulk(StockLevel(part=each, on_hand=3, value=3 * each.cost_net) for each in made)
    bulk(
        StockMovement(
            part=each, kind=kind, quantity=quantity, value=quantity * Decimal(each.cost_net),
            at=at, by=by, key=f"long:{each.pk}:{kind}",
        )
        for each in made
        for kind, quantity in ((MovementKind.GOODS_IN, 4), (MovementKind.DRAW, -1))
    )  # fmt: skip
    bulk(
        FitFacts(part=each, bead_seat_mm=BEAD_SEATS_MM[n % len(BEAD_SEATS_MM)])
        for n, each in enumerate(made)
    )
    bulk(
        SupplierPart(
            supplier=maker, part=each, code=f"W{int(each.code[2:])}", name="Speiche",
            currency="GBP", list_price_net=each.cost_net, cost_net=each.cost_net, valid_from=day,
        )
        for each in made[::SOLD]
    )  # fmt: skip
    if connection.vendor == "postgresql":
        take_stock_of_tables()
    return made


def take_stock_of_tables() -> None:
    """Let PostgreSQL count its rows, as it does by itself once they are there to stay."""
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE")


def bulk(rows: Iterable[Model]) -> None:
    """Save rows of one model, a batch at a time."""
    waiting: list[Model] = []
    for row in rows:
        waiting.append(row)
        if len(waiting) == BATCH:
            type(row)._default_manager.bulk_create(waiting)
            waiting.clear()
    if waiting:
        type(waiting[0])._default_manager.bulk_create(waiting)
