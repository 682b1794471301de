"""Starts the inspection of a bike."""

from __future__ import annotations

from django.db import transaction

from workshop.bikes.models import Bike, Stage
from workshop.bikes.verbs.stages import move_to
from workshop.inspections.models import Inspection
from workshop.people.models import User

BEFORE_A_QUOTE = frozenset(
    {
        *(Stage.BOOKED_IN, Stage.INSPECTING, Stage.INSPECTED),
        *(Stage.RELEASED, Stage.REFUSED, Stage.LEFT, Stage.SOLD),
    }
)
"""Stages that an inspection moves on from. A bike that is quoted, sent, accepted, in work or bought
stays where it stands while somebody looks at it again."""


@transaction.atomic
def start_inspection(bike: Bike, by: User) -> Inspection:
    """Return the bike's open inspection, begun now where there is none.

    Two people who start at the same moment get the same one. The bike moves on to "being
    inspected" unless it already has a quote or was bought.
    """
    locked = Bike.objects.select_for_update().get(pk=bike.pk)
    inspection = Inspection.objects.filter(bike=locked, finished_at__isnull=True).first()
    if inspection is None:
        inspection = Inspection.objects.create(bike=bike, started_by=by)
    if locked.stage in BEFORE_A_QUOTE:
        move_to(bike, Stage.INSPECTING)
    return inspection
