"""The proof that every level is the sum of its movements, in quantity and value."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from decimal import Decimal
from itertools import groupby

from inventory.core.costing import BelowZeroError, Method
from inventory.parts.models import Part
from inventory.shopfacts import money_unit
from inventory.stock.ledger import costed, held
from inventory.stock.models import Reservation, StockLevel, StockMovement, plain

ROWS_AT_ONCE = 2000


def problems() -> Iterator[str]:
    """Yield what is wrong, a line each; nothing where the ledger proves all levels.

    Memory is bounded by the movements of one part.
    """
    levels = {level.pk: level for level in StockLevel.objects.all()}
    reserved = reserved_by_part()
    unit = money_unit()
    rows = StockMovement.objects.order_by("part_id", "at", "pk").iterator(ROWS_AT_ONCE)
    names = dict(Part.objects.values_list("pk", "code"))
    for part_id, movements in groupby(rows, key=lambda each: each.part_id):
        level = levels.pop(part_id, None) or StockLevel(part_id=part_id)
        found = part_problems(level, list(movements), reserved.pop(part_id, Decimal(0)), unit)
        yield from (f"{names[part_id]}: {each}" for each in found)
    for part_id, level in levels.items():
        found = part_problems(level, [], reserved.pop(part_id, Decimal(0)), unit)
        yield from (f"{names[part_id]}: {each}" for each in found)
    for part_id, quantity in reserved.items():
        yield f"{names[part_id]}: {plain(quantity)} reserved of a part that never came in"


def reserved_by_part() -> dict[int, Decimal]:
    """Return how many of each part are reserved, by the reservations."""
    sums: dict[int, Decimal] = defaultdict(Decimal)
    for part_id, left in Reservation.objects.filter(left__gt=0).values_list("part_id", "left"):
        sums[part_id] += left
    return sums


def part_problems(
    level: StockLevel, movements: list[StockMovement], reserved: Decimal, unit: Decimal
) -> Iterator[str]:
    """Yield what is wrong with a part."""
    there = sum((each.quantity for each in movements), Decimal(0))
    value = sum((each.value for each in movements), Decimal(0))
    if level.on_hand != there:
        yield f"the level says {plain(level.on_hand)}, the movements {plain(there)}"
    if level.value != value:
        yield f"the level is worth {plain(level.value)}, the movements {plain(value)}"
    if level.reserved != reserved:
        yield f"the level has {plain(level.reserved)} reserved, reservations {plain(reserved)}"
    rows = held(movements)
    try:
        result = costed(rows, Method(level.method), unit)
    except BelowZeroError as error:
        at = rows[error.place].movement.at
        yield f"more went out than there was at {at:%Y-%m-%d %H:%M}"
        return
    wrong = [r.movement.pk for r, v in zip(rows, result.values, strict=True) if r.value != v]
    if wrong:
        yield f"costed otherwise than by {level.method}: movements {', '.join(map(str, wrong))}"
