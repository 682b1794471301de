"""Takes out what is broken, lost or past use."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

from django.contrib.auth.base_user import AbstractBaseUser
from django.db import transaction

from inventory.parts.models import Part
from inventory.stock.booking import book, booked_before, checked_quantity, checked_time, lock
from inventory.stock.errors import StockError
from inventory.stock.models import MovementKind, StockMovement


@transaction.atomic
def scrap(
    part: Part,
    *,
    quantity: Decimal,
    reason: str,
    by: AbstractBaseUser,
    key: str,
    at: dt.datetime | None = None,
) -> StockMovement:
    """Return the movement. The same ``key`` again gives the same movement and books nothing.

    Raises:
        NotEnoughError: there are not so many, or they are reserved.
        StockError: the quantity or the time is none that can be booked, or no reason is given.
        KeyUsedError: the key is another movement's.
    """
    if not reason.strip():
        raise StockError("Write why it is scrapped: broken, lost, past its day …")
    draft = StockMovement(
        part=part,
        kind=MovementKind.SCRAP,
        quantity=-checked_quantity(quantity),
        value=Decimal(0),
        at=checked_time(at),
        by_id=by.pk,
        key=key,
        reference=reason.strip(),
    )
    level = lock(part)
    return booked_before(draft) or book(level, draft)
