"""Draws parts for a job, from what is reserved for it first."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

from django.contrib.auth.base_user import AbstractBaseUser
from django.db import transaction

from inventory.parts.models import Part
from inventory.stock.booking import book, booked_before, checked_quantity, checked_time, lock
from inventory.stock.errors import StockError
from inventory.stock.models import MovementKind, Reservation, StockMovement, plain


@transaction.atomic
def draw(
    part: Part,
    *,
    quantity: Decimal,
    by: AbstractBaseUser,
    key: str,
    reference: str = "",
    at: dt.datetime | None = None,
    reservation: Reservation | None = None,
) -> StockMovement:
    """Return the movement, its value below zero: what the parts cost.

    With a ``reservation`` the quantity comes out of it; what goes beyond it must be free. The
    same ``key`` again gives the same movement and books nothing.

    Raises:
        NotEnoughError: there are not so many, or they are reserved for something else.
        StockError: the quantity or the time is none that can be booked, or the reservation is of
            another part.
        KeyUsedError: the key is another movement's.
    """
    draft = StockMovement(
        part=part,
        kind=MovementKind.DRAW,
        quantity=-checked_quantity(quantity),
        value=Decimal(0),
        at=checked_time(at),
        by_id=by.pk,
        key=key,
        reference=reference,
    )
    level = lock(part)
    before = booked_before(draft)
    if before is not None:
        return before
    if reservation is not None:
        level.reserved -= spent(reservation, part, quantity)
    return book(level, draft)


def spent(reservation: Reservation, part: Part, quantity: Decimal) -> Decimal:
    """Take a quantity out of a reservation and return how much of it was there.

    Raises:
        StockError: it is of another part, or nothing is left of it.
    """
    fresh = Reservation.objects.get(pk=reservation.pk)
    if fresh.part_id != part.pk:
        raise StockError(f"What is reserved for {fresh.reference} is another part.")
    if not fresh.left:
        raise StockError(
            f"Nothing is reserved for {fresh.reference} any more: all {plain(fresh.quantity)} were "
            "drawn or released. Draw without the reservation."
        )
    out = min(quantity, fresh.left)
    fresh.left -= out
    fresh.save(update_fields=["left"])
    return out
