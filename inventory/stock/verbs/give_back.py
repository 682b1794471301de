"""Puts parts back that were drawn and not used, at what they were drawn for."""

from __future__ import annotations

from decimal import Decimal

from django.contrib.auth.base_user import AbstractBaseUser
from django.db import transaction
from django.utils import timezone

from inventory.core.costing import part_of
from inventory.parts.models import Part
from inventory.shopfacts import money_unit
from inventory.stock.booking import book, booked_before, checked_quantity, lock
from inventory.stock.errors import StockError
from inventory.stock.ledger import held, ledger_of
from inventory.stock.models import MovementKind, StockMovement, plain


@transaction.atomic
def give_back(
    drawn: StockMovement, *, quantity: Decimal, by: AbstractBaseUser, key: str, reference: str = ""
) -> StockMovement:
    """Return the movement: as of now, at the share of what the draw stands at by now.

    The same ``key`` again gives the same movement and books nothing.

    Raises:
        StockError: it is no draw, or more comes back than is still out.
        KeyUsedError: the key is another movement's.
    """
    part = Part.objects.get(pk=drawn.part_id)
    draft = StockMovement(
        part=part,
        kind=MovementKind.RETURN,
        quantity=checked_quantity(quantity),
        value=Decimal(0),
        at=timezone.now(),
        by_id=by.pk,
        key=key,
        reference=reference or drawn.reference,
        returns=drawn,
    )
    level = lock(part)
    before = booked_before(draft)
    if before is not None:
        return before
    ledger = ledger_of(part.pk)
    draft.value = value_back(ledger, drawn, quantity)
    return book(level, draft, ledger)


def value_back(ledger: list[StockMovement], drawn: StockMovement, quantity: Decimal) -> Decimal:
    """Return the value of a quantity that comes back from a draw; of the last, all the rest.

    Raises:
        StockError: it is no draw that holds, or not so many are out.
    """
    rows = held(ledger)
    draw = next((r for r in rows if r.movement.pk == drawn.pk), None)
    if draw is None or draw.movement.kind != MovementKind.DRAW:
        raise StockError("Only what was drawn, and not taken back, can be returned.")
    back = [row for row in rows if row.movement.returns_id == drawn.pk]
    out = -draw.movement.quantity - sum((row.movement.quantity for row in back), Decimal(0))
    if quantity > out:
        raise StockError(
            f"Only {plain(out)} of this draw are still out; {plain(quantity)} can't come back."
        )
    left = -draw.value - sum((row.value for row in back), Decimal(0))
    return part_of(max(left, Decimal(0)), quantity, out, money_unit())
