"""Finds which of our parts a supplier's articles are, by their GTIN."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import islice
from typing import TypeVar

from inventory.parts.models import Part
from inventory.suppliers.models import Supplier, SupplierPart

AT_ONCE = 500
Thing = TypeVar("Thing")


def match_by_gtin(supplier: Supplier) -> int:
    """Match articles that hold and are not matched with our parts of the same GTIN; tell how many.

    Call it in the transaction that changes the articles.
    """
    numbers = Part.objects.exclude(gtin="").values_list("gtin", "pk").iterator(AT_ONCE)
    matched = 0
    for part in portions(numbers, AT_ONCE):
        ours = dict(part)
        found = SupplierPart.objects.filter(
            supplier=supplier, valid_until__isnull=True, part__isnull=True, gtin__in=ours
        )
        articles = list(found.only("pk", "gtin"))
        for each in articles:
            each.part_id = ours[each.gtin]
        matched += SupplierPart.objects.bulk_update(articles, ["part"]) if articles else 0
    return matched


def portions(things: Iterator[Thing], size: int) -> Iterator[list[Thing]]:
    """Yield lists of so many things."""
    while some := list(islice(things, size)):
        yield some
