"""Takes reorder points over as what should be in stock."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

from django.contrib.auth.base_user import AbstractBaseUser
from django.db import transaction
from simple_history.utils import bulk_update_with_history

from inventory.parts.models import Part
from inventory.purchasing.errors import PurchaseError

MOST = 999_999


@transaction.atomic
def take_minimum(points: Mapping[int, int], *, by: AbstractBaseUser) -> int:
    """Set the minimum of parts, with history; return how many changed.

    Raises:
        PurchaseError: a number is none that can be kept.
    """
    if not all(0 <= each <= MOST for each in points.values()):
        raise PurchaseError(f"A minimum lies between 0 and {MOST:,}.")
    parts = list(Part.objects.select_for_update().filter(pk__in=points).order_by("pk"))
    changed = [part for part in parts if part.minimum != points[part.pk]]
    for part in changed:
        part.minimum = Decimal(points[part.pk])
    bulk_update_with_history(
        changed, Part, ["minimum"], default_user=by, default_change_reason="reorder point"
    )
    return len(changed)
