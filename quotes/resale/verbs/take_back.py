"""Takes a comparable back that was dropped for a bike."""

from __future__ import annotations

from django.db import transaction

from quotes.resale.models import Comparable, Dropped
from workshop.bikes.models import Bike


@transaction.atomic
def take_back(comparable: Comparable, bike: Bike) -> None:
    """Count the comparable again; nothing happens where it was not dropped."""
    for dropped in Dropped.objects.filter(comparable=comparable, bike=bike):
        dropped.delete()
