"""Sizes in the demo shop: parts that fit only some bikes, and bikes that have been measured."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import timedelta
from decimal import Decimal
from typing import Any

from django.utils import timezone

from inventory.core.money import quantise
from inventory.parts.models import FitFacts, Part
from inventory.stock.verbs.goods_in import goods_in
from quotes.demo.rows import DemoError, read_csv
from workshop.bikes.models import Bike, BikeFit
from workshop.bikes.verbs.measure import measure_bike
from workshop.people.models import User

Sizes = Mapping[tuple[str, str], Mapping[str, Any]]
"""Sizes of bikes by make and model."""

CAME_DAYS_AGO = 66
SPACE = "·"
"""Stands for a space within a fact of the parts' file, since spaces divide facts."""


def load_part_sizes(by: User) -> int:
    """Enter the sizes of parts and what they fit, and take them into stock; return how many.

    Raises:
        DemoError: the file names a part that the catalogue does not have.
    """
    rows = read_csv("part_sizes.csv")
    parts = {part.code: part for part in Part.objects.all()}
    for row in rows:
        kind = parts.get(row["size_of"] or row["code"])
        if kind is None:
            raise DemoError(f"part_sizes.csv: the catalogue has no part “{row['size_of']}”.")
        part = _size(kind, row, by) if row["size_of"] else kind
        fit = FitFacts(part=part, **_facts(row["facts"]))
        fit.full_clean()
        fit.save()
    return len(rows)


def _size(kind: Part, row: dict[str, str], by: User) -> Part:
    """Return a new size of a part, in stock."""
    dearer = Decimal(row["dearer"])
    part = Part(
        code=row["code"],
        name=row["name"],
        unit=kind.unit,
        cost_net=quantise(kind.cost_net * dearer, "GBP"),
        price_net=quantise(kind.price_net * dearer, "GBP"),
        vat_code=kind.vat_code,
        safety_critical=kind.safety_critical,
        size_of=kind,
        place=row["place"],
        minimum=Decimal(row["minimum"]),
        markup=kind.markup,
        ending=kind.ending,
    )
    part.full_clean()
    part.save()
    goods_in(
        part,
        quantity=Decimal(row["came"]),
        unit_cost=part.cost_net,
        at=timezone.now() - timedelta(days=CAME_DAYS_AGO),
        reference="opening stock",
        by=by,
        key=f"demo:{part.code}:in",
    )
    return part


def _facts(text: str) -> dict[str, Any]:
    """Return facts of fit written “name=value name=value”."""
    pairs = (each.partition("=") for each in text.split())
    return {name: value.replace(SPACE, " ") for name, _, value in pairs}


def model_sizes() -> Sizes:
    """Return the sizes of each make and model that somebody has measured."""
    return {
        (row["make"], row["model"]): {name: row[name] for name in BikeFit.names() if row[name]}
        for row in read_csv("model_sizes.csv")
    }


def measure_as_its_model(bike: Bike, sizes: Sizes) -> None:
    """Keep the sizes of a bike’s model with it, where there are any."""
    known = sizes.get((bike.make, bike.model))
    if known:
        measure_bike(bike, known)
