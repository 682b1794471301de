"""Takes a used part off a donor bike into stock, with its grade and its share of the cost."""

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
from inventory.stock.models import Grade, MovementKind, StockMovement


@transaction.atomic
def strip(
    part: Part,
    *,
    quantity: Decimal,
    grade: Grade | str,
    cost_share: Decimal,
    donor: str,
    by: AbstractBaseUser,
    key: str,
    at: dt.datetime | None = None,
) -> StockMovement:
    """Return the movement; ``cost_share`` is what of the donor bike's cost the parts bear, net.

    The same ``key`` again gives the same movement and books nothing.

    Raises:
        StockError: the quantity, share or time can't be booked, or the donor is not named.
        KeyUsedError: the key is another movement's.
    """
    if not donor.strip():
        raise StockError("Write the stock number of the bike that the part comes from.")
    if cost_share < 0 or grade not in Grade.values:
        raise StockError("Choose a grade, and a share of the cost of 0 or more.")
    draft = StockMovement(
        part=part,
        kind=MovementKind.STRIP,
        quantity=checked_quantity(quantity),
        value=quantise(cost_share, shop_facts().currency()),
        at=checked_time(at),
        by_id=by.pk,
        key=key,
        reference=donor.strip(),
        grade=grade,
    )
    level = lock(part)
    return booked_before(draft) or book(level, draft)
