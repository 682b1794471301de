"""Takes a movement back, as if it had not happened."""

from __future__ import annotations

from decimal import Decimal

from django.contrib.auth.base_user import AbstractBaseUser
from django.db import transaction

from inventory.parts.models import Part
from inventory.stock.booking import book, booked_before, lock
from inventory.stock.errors import StockError
from inventory.stock.ledger import held, ledger_of
from inventory.stock.models import MovementKind, StockMovement

LONGEST = 120


@transaction.atomic
def reverse_movement(
    wrong: StockMovement, *, reason: str, by: AbstractBaseUser, key: str
) -> StockMovement:
    """Return the movement that takes another back, as of that one's time; both stay to be seen.

    The same ``key`` again gives the same movement and books nothing.

    Raises:
        StockError: it has been taken back already or can't be, or no reason is given.
        NotEnoughError: what came in with it has gone out since.
        KeyUsedError: the key is another movement's.
    """
    if not reason.strip():
        raise StockError("Write why it is taken back.")
    part = Part.objects.get(pk=wrong.part_id)
    draft = StockMovement(
        part=part,
        kind=MovementKind.REVERSAL,
        quantity=-wrong.quantity,
        value=Decimal(0),
        at=wrong.at,
        by_id=by.pk,
        key=key,
        reference=reason.strip()[:LONGEST],
        reversal_of=wrong,
    )
    level = lock(part)
    before = booked_before(draft)
    if before is not None:
        return before
    ledger = ledger_of(part.pk)
    draft.value = -value_now(ledger, wrong)
    return book(level, draft, ledger)


def value_now(ledger: list[StockMovement], wrong: StockMovement) -> Decimal:
    """Return what a movement that can be taken back stands at.

    Raises:
        StockError: it can't be.
    """
    rows = held(ledger)
    found = next((row for row in rows if row.movement.pk == wrong.pk), None)
    if found is None:
        raise StockError("This has been taken back already, or puts another movement right.")
    if any(row.movement.returns_id == wrong.pk for row in rows):
        raise StockError("Some of it has been returned. Take the return back first.")
    return found.value
