"""Approves a stocktake: books every difference and closes it, all or nothing."""

from __future__ import annotations

from django.contrib.auth.base_user import AbstractBaseUser
from django.db import transaction
from django.utils import timezone

from inventory.stock.errors import StockError
from inventory.stock.models import StockMovement, Stocktake
from inventory.stock.verbs.count import count


@transaction.atomic
def approve_stocktake(stocktake: Stocktake, *, by: AbstractBaseUser) -> list[StockMovement]:
    """Return the corrections; to approve it again books nothing.

    Raises:
        StockError: nothing was counted, or a difference can't be booked; the message says which.
    """
    fresh = Stocktake.objects.select_for_update().get(pk=stocktake.pk)
    if fresh.closed_at is not None:
        return []
    counts = list(fresh.counts.select_related("part").order_by("part_id"))
    if not counts:
        raise StockError("Nothing has been counted yet.")
    booked = [
        count(
            each.part,
            counted=each.counted,
            at=each.counted_at,
            by=by,
            key=f"stocktake:{fresh.pk}:{each.part_id}",
            reference=str(fresh),
        )
        for each in counts
    ]
    fresh.closed_at, fresh.closed_by_id = timezone.now(), by.pk
    fresh.save(update_fields=["closed_at", "closed_by"])
    return [each for each in booked if each is not None]
