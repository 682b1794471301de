"""Books goods that came in, also late: issues since then are costed anew."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

from django.contrib.auth.base_user import AbstractBaseUser
from django.db import transaction

from inventory.core.money import quantise
from inventory.parts.models import Part
from inventory.shopfacts import shop_facts
from inventory.stock.booking import book, booked_before, checked_quantity, checked_time, lock
from inventory.stock.errors import StockError
from inventory.stock.models import MovementKind, StockMovement


@transaction.atomic
def goods_in(
    part: Part,
    *,
    quantity: Decimal,
    unit_cost: Decimal,
    by: AbstractBaseUser,
    key: str,
    at: dt.datetime | None = None,
    reference: str = "",
) -> StockMovement:
    """Return the movement; ``unit_cost`` is net of VAT, ``at`` when the goods came.

    The same ``key`` again gives the same movement and books nothing.

    Raises:
        StockError: the quantity, the cost or the time is none that can be booked.
        KeyUsedError: the key is another movement's.
    """
    if unit_cost < 0:
        raise StockError("A cost is never below zero. Write what the goods cost, or 0.")
    draft = StockMovement(
        part=part,
        kind=MovementKind.GOODS_IN,
        quantity=checked_quantity(quantity),
        value=quantise(quantity * unit_cost, shop_facts().currency()),
        at=checked_time(at),
        by_id=by.pk,
        key=key,
        reference=reference,
    )
    level = lock(part)
    return booked_before(draft) or book(level, draft)
