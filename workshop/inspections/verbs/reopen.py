"""Opens a finished inspection again."""

from __future__ import annotations

from django.db import transaction

from workshop.bikes.models import Bike, Stage
from workshop.bikes.verbs.stages import move_to
from workshop.inspections.models import Inspection
from workshop.inspections.verbs.locking import lock
from workshop.inspections.verbs.start import BEFORE_A_QUOTE


class NewerInspectionError(Exception):
    """Raised when the bike has a newer inspection: that one is to be used."""

    def __init__(self) -> None:
        super().__init__("The bike was inspected again since. Use the newer inspection.")


@transaction.atomic
def reopen_inspection(inspection: Inspection) -> Inspection:
    """Open a finished inspection again and return it; an open one stays open.

    The bike goes back to "being inspected" unless it already has a quote or was bought.

    Raises:
        NewerInspectionError: the bike has a newer inspection.
    """
    Bike.objects.select_for_update().get(pk=inspection.bike_id)
    locked = lock(inspection)
    if locked.finished_at is None:
        return locked
    if Inspection.objects.filter(bike=locked.bike, pk__gt=locked.pk).exists():
        raise NewerInspectionError
    locked.finished_at = None
    locked.finished_by = None
    locked.save(update_fields=["finished_at", "finished_by"])
    if locked.bike.stage in BEFORE_A_QUOTE:
        move_to(locked.bike, Stage.INSPECTING)
    return locked
