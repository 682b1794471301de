"""Throws a draft away: nobody has been told of it."""

from __future__ import annotations

from django.db import transaction

from inventory.purchasing.locking import locked_draft
from inventory.purchasing.models import PurchaseOrder


@transaction.atomic
def discard(order: PurchaseOrder) -> None:
    """Delete a draft with its lines.

    Raises:
        PurchaseError: it has been ordered; cancel it then.
    """
    locked_draft(order).delete()
