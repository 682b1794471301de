"""Frees what is reserved and will not be drawn."""

from __future__ import annotations

from django.db import transaction

from inventory.parts.models import Part
from inventory.stock.booking import lock
from inventory.stock.models import Reservation


@transaction.atomic
def release(reservation: Reservation) -> Reservation:
    """Return the reservation with nothing left of it; to release it again changes nothing."""
    level = lock(Part.objects.get(pk=reservation.part_id))
    fresh = Reservation.objects.get(pk=reservation.pk)
    level.reserved -= fresh.left
    level.save(update_fields=["reserved"])
    fresh.left -= fresh.left
    fresh.save(update_fields=["left"])
    return fresh
