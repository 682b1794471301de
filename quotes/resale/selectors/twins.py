"""Telling whether a comparable is here already."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping
from decimal import Decimal
from typing import Any

from quotes.resale.models import Comparable, likeness_key

Twin = tuple[str, str, str, int, int, Decimal, str, dt.date]
COMPARED = (
    "make_key",
    "model_key",
    "frame",
    "maker_year",
    "condition",
    "price",
    "kind",
    "seen_on",
)


def twin_key(facts: Mapping[str, Any]) -> Twin:
    """Return what two entries of one price have in common; the source is not looked at."""
    return (
        likeness_key(facts["make"]),
        likeness_key(facts["model"]),
        str(facts["frame"]),
        int(facts["maker_year"]),
        int(facts["condition"]),
        Decimal(facts["price"]),
        str(facts["kind"]),
        facts["seen_on"],
    )


def twin_of(facts: Mapping[str, Any], other_than: Comparable | None = None) -> Comparable | None:
    """Return a comparable that says the same, or None."""
    same = Comparable.objects.filter(**dict(zip(COMPARED, twin_key(facts), strict=True)))
    if other_than is not None:
        same = same.exclude(pk=other_than.pk)
    return same.first()


def twins_kept(days: Iterable[dt.date]) -> set[Twin]:
    """Return the keys of all comparables seen between the first and the last of these days."""
    seen = list(days)
    if not seen:
        return set()
    kept = Comparable.objects.filter(seen_on__range=(min(seen), max(seen)))
    return set(kept.order_by().values_list(*COMPARED))
