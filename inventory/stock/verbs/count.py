"""Brings the level to what was counted, as of the moment it was counted."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

from django.contrib.auth.base_user import AbstractBaseUser
from django.db import transaction

from inventory.core.money import quantise
from inventory.parts.models import Part
from inventory.shopfacts import shop_facts
from inventory.stock.booking import HUNDREDTH, book, booked_before, checked_time, lock
from inventory.stock.errors import StockError
from inventory.stock.ledger import held, ledger_of, level_at
from inventory.stock.models import MovementKind, StockMovement


@transaction.atomic
def count(
    part: Part,
    *,
    counted: Decimal,
    by: AbstractBaseUser,
    key: str,
    at: dt.datetime | None = None,
    reference: str = "stocktake",
) -> StockMovement | None:
    """Return the correction, or None where as many were counted as there were at that moment.

    What is more than there should be comes in at the average of that moment. The same ``key``
    again gives the same movement and books nothing.

    Raises:
        NotEnoughError: what has gone out or been reserved since would not have been there.
        StockError: the count or the time is none that can be booked.
        KeyUsedError: the key is another movement's.
    """
    if counted < 0 or counted % HUNDREDTH:
        raise StockError("Write how many there are: 0 or more, with at most two decimals.")
    draft = StockMovement(
        part=part,
        kind=MovementKind.COUNT,
        at=checked_time(at),
        by_id=by.pk,
        key=key,
        reference=reference,
    )
    level = lock(part)
    before = booked_before(draft)
    if before is not None:
        return before
    ledger = ledger_of(part.pk)
    there, value = level_at(held(ledger), draft.at)
    draft.quantity = counted - there
    if not draft.quantity:
        return None
    each = value / there if there else part.cost_net
    draft.value = quantise(max(draft.quantity, Decimal(0)) * each, shop_facts().currency())
    return book(level, draft, ledger)
