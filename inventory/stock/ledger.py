"""Reading the ledger of a part as costing sees it: what still holds, with its value by now."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from inventory.core.costing import Costed, Entry, Method, cost
from inventory.stock.models import MovementKind, StockMovement

ZERO = Decimal(0)


@dataclass(frozen=True, slots=True)
class Held:
    """A movement that holds, and its value with what has been put right since."""

    movement: StockMovement
    value: Decimal


def held(movements: Iterable[StockMovement]) -> list[Held]:
    """Return what holds, in the order in which it took effect.

    What was taken back is left out together with what took it back and what corrected it.
    """
    rows = list(movements)
    taken_back = {each.reversal_of_id for each in rows if each.reversal_of_id}
    corrections: dict[int | None, Decimal] = defaultdict(Decimal)
    for each in rows:
        if each.corrects_id:
            corrections[each.corrects_id] += each.value
    silent = (MovementKind.REVERSAL, MovementKind.REVALUATION)
    standing = [each for each in rows if each.kind not in silent and each.pk not in taken_back]
    standing.sort(key=in_order)
    return [Held(each, each.value + corrections[each.pk]) for each in standing]


def in_order(movement: StockMovement) -> tuple[dt.datetime, bool, int]:
    """Return what sorts movements as they took effect; one that is not saved yet comes last."""
    return movement.at, movement.pk is None, movement.pk or 0


def costed(rows: Sequence[Held], method: Method, unit: Decimal) -> Costed:
    """Return what the movements cost anew; ``unit`` is the currency's minor unit.

    What was returned comes back at what its draw costs anew.

    Raises:
        BelowZeroError: at some time more would have gone out than there was.
    """
    places = {row.movement.pk: place for place, row in enumerate(rows)}
    entries = [
        Entry(row.movement.quantity, row.value, _place_of(row.movement.returns_id, places))
        for row in rows
    ]
    return cost(entries, method, unit)


def _place_of(draw: int | None, places: dict[int, int]) -> int | None:
    """Return where the draw stands of which something was returned, if it was one."""
    return None if draw is None else places.get(draw)


def ledger_of(part_id: int) -> list[StockMovement]:
    """Return all movements of a part, in one query."""
    return list(StockMovement.objects.filter(part_id=part_id))


def level_at(rows: Iterable[Held], moment: dt.datetime) -> tuple[Decimal, Decimal]:
    """Return how many there were at a moment, and their value."""
    upto = [row for row in rows if row.movement.at <= moment]
    return sum((row.movement.quantity for row in upto), ZERO), sum((r.value for r in upto), ZERO)
