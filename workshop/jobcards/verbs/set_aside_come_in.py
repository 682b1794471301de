"""Sets parts that came in aside for a card that waits for them, and tells the card."""

from __future__ import annotations

from decimal import Decimal

from django.db import transaction

from inventory.stock.models import StockMovement, plain
from workshop.core.cardstates import NEXT, Action
from workshop.jobcards.holding import done, held, seen_before
from workshop.jobcards.models import JobCard
from workshop.jobcards.setting_aside import rows_of, set_aside
from workshop.people.models import User

ARRIVED = "came:"
"""How the keys of these events begin: a card's page tells by it what has come in."""


@transaction.atomic
def set_aside_come_in(card: JobCard, movement: StockMovement) -> Decimal:
    """Return how many more are set aside for the card; the same movement again sets none aside.

    A card on which no parts may be reserved as it stands is left alone.
    """
    locked = held(card.pk)
    key = f"{ARRIVED}{movement.pk}"
    if Action.RESERVE not in NEXT[locked.stands]:
        return Decimal(0)
    if seen_before(locked, key, Action.RESERVE, movement.part_id):
        return Decimal(0)
    by = User.objects.get(pk=movement.by_id)
    before = _kept(locked, movement.part_id)
    set_aside(locked, by, parts=[movement.part_id])
    more = _kept(locked, movement.part_id) - before
    if more > 0:
        part = movement.part
        words = f"set aside {plain(more)} {part.unit} that came in: {part.name}"
        done(locked, Action.RESERVE, key=key, by=by, words=words, subject=part.pk)
    return more


def _kept(card: JobCard, part_id: int) -> Decimal:
    """Return how many of a part are set aside for a card."""
    return sum((row.reserved for row in rows_of(card).filter(part=part_id)), Decimal(0))
