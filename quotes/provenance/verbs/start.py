"""Begins the provenance check of a bike, or goes on with the open one."""

from __future__ import annotations

from django.db import transaction

from quotes.provenance.models import ProvenanceCheck, State
from workshop.bikes.models import Bike, Purpose
from workshop.people.models import User


class NotOfferedError(Exception):
    """Raised for a bike that nobody offers to us."""


@transaction.atomic
def start_check(bike: Bike, by: User) -> ProvenanceCheck:
    """Return the open check of a bike, a new one where there is none.

    Raises:
        NotOfferedError: the bike was brought for repair.
    """
    bike = Bike.objects.select_for_update().get(pk=bike.pk)
    if bike.purpose != Purpose.BUY_IN:
        raise NotOfferedError(
            f"{bike} was brought for repair. Change why it is here, if we may buy it."
        )
    found = ProvenanceCheck.objects.filter(bike=bike, state=State.OPEN).first()
    return found or ProvenanceCheck.objects.create(
        bike=bike, seller_id=bike.customer_id, started_by=by
    )
