"""How orders stand: what has come of each line, and what is still to come of each part."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from decimal import Decimal

from inventory.purchasing.models import OPEN, DeliveryLine, PurchaseLine, State

ZERO = Decimal(0)


def came_of(lines: Iterable[PurchaseLine]) -> dict[int, Decimal]:
    """Return how many came of each line, in the part's unit; what was taken back is left out."""
    rows = DeliveryLine.objects.filter(line__in=list(lines), movement__reversal__isnull=True)
    sums: dict[int, Decimal] = defaultdict(Decimal)
    for line_id, quantity in rows.values_list("line_id", "quantity"):
        sums[line_id] += quantity
    return sums


def to_come(line: PurchaseLine, came: Decimal) -> Decimal:
    """Return how many of a line are still missing, in the part's unit."""
    return max(line.pieces - came, ZERO)


def on_order(parts: Iterable[int] | None = None) -> dict[int, Decimal]:
    """Return how many of each part, or of all, are still to come of orders that are open."""
    found = PurchaseLine.objects.filter(order__state__in=OPEN)
    lines = list(found if parts is None else found.filter(part__in=list(parts)))
    came = came_of(lines)
    sums: dict[int, Decimal] = defaultdict(Decimal)
    for line in lines:
        sums[line.part_id] += to_come(line, came[line.pk])
    return sums


def in_drafts(parts: Iterable[int]) -> dict[int, Decimal]:
    """Return how many of each part stand in drafts."""
    lines = PurchaseLine.objects.filter(part__in=list(parts), order__state=State.DRAFT)
    sums: dict[int, Decimal] = defaultdict(Decimal)
    for line in lines:
        sums[line.part_id] += line.pieces
    return sums
