"""Closes an order of which the rest will not come, or cancels one of which nothing has."""

from __future__ import annotations

from django.contrib.auth.base_user import AbstractBaseUser
from django.db import transaction
from django.utils import timezone

from inventory.purchasing.errors import PurchaseError
from inventory.purchasing.locking import ENDING, locked_open
from inventory.purchasing.models import PurchaseOrder, State


@transaction.atomic
def close(order: PurchaseOrder, *, reason: str, by: AbstractBaseUser) -> PurchaseOrder:
    """Return the order: closed where something came of it, else cancelled.

    Raises:
        PurchaseError: it is not open, or no reason is given.
    """
    if not reason.strip():
        raise PurchaseError("Write why nothing more comes.")
    fresh = locked_open(order)
    some = fresh.state == State.PART_DELIVERED
    fresh.state = State.CLOSED if some else State.CANCELLED
    fresh.closed_at, fresh.closed_by_id = timezone.now(), by.pk
    fresh.close_reason = reason.strip()
    fresh.save(update_fields=ENDING)
    return fresh
