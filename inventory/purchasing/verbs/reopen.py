"""Opens an order again of which goods were taken back after it had closed by itself."""

from __future__ import annotations

from django.contrib.auth.base_user import AbstractBaseUser
from django.db import transaction

from inventory.purchasing.errors import PurchaseError
from inventory.purchasing.locking import brought_up_to_date, locked
from inventory.purchasing.models import PurchaseOrder, State


@transaction.atomic
def reopen(order: PurchaseOrder, *, by: AbstractBaseUser) -> PurchaseOrder:
    """Return the order in the state that follows from what has come of it.

    Raises:
        PurchaseError: somebody closed or cancelled it, or it was never sent.
    """
    fresh = locked(order)
    if fresh.is_draft or fresh.state == State.CANCELLED or fresh.close_reason:
        raise PurchaseError(f"{fresh} was ended by hand and stays so. Make another order.")
    return brought_up_to_date(fresh, by)
