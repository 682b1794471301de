"""Starts the count of a shelf place."""

from __future__ import annotations

from django.contrib.auth.base_user import AbstractBaseUser
from django.db import IntegrityError, transaction

from inventory.parts.models import Part
from inventory.stock.errors import StockError
from inventory.stock.models import Stocktake


@transaction.atomic
def start_stocktake(place: str, *, by: AbstractBaseUser) -> Stocktake:
    """Return the stocktake of a place; the one that is open, where there is one.

    Raises:
        StockError: nothing lies there.
    """
    if not place or not Part.objects.filter(place=place, active=True).exists():
        raise StockError(f"No part lies at “{place}”. Write the place on the parts' pages first.")
    try:
        with transaction.atomic():
            return Stocktake.objects.create(place=place, started_by_id=by.pk)
    except IntegrityError:
        return Stocktake.objects.get(place=place, closed_at__isnull=True)
