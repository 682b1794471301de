"""Notes how many of a part were counted, and when."""

from __future__ import annotations

from decimal import Decimal

from django.contrib.auth.base_user import AbstractBaseUser
from django.db import transaction
from django.utils import timezone

from inventory.parts.models import Part
from inventory.stock.errors import StockError
from inventory.stock.models import StockCount, Stocktake


@transaction.atomic
def note_count(
    stocktake: Stocktake, part: Part, *, counted: Decimal, by: AbstractBaseUser
) -> StockCount:
    """Return the count; a second one of the same part takes the first one's place.

    Raises:
        StockError: the stocktake is closed.
    """
    fresh = Stocktake.objects.select_for_update().get(pk=stocktake.pk)
    if fresh.closed_at is not None:
        raise StockError(f"The {fresh} is closed. Start another one to count again.")
    values = {"counted": counted, "counted_at": timezone.now(), "by_id": by.pk}
    made, _ = StockCount.objects.update_or_create(stocktake=fresh, part=part, defaults=values)
    return made
