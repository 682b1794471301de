"""Holds an inspection still while it is changed."""

from __future__ import annotations

from workshop.inspections.models import Inspection


class FinishedError(Exception):
    """Raised when a finished inspection would be changed; reopen it first."""

    def __init__(self) -> None:
        super().__init__("This inspection is finished. Reopen it to change what was found.")


def lock(inspection: Inspection) -> Inspection:
    """Return the inspection as it stands now, locked until the transaction ends."""
    rows = Inspection.objects.select_for_update(of=("self",)).select_related("bike")
    return rows.get(pk=inspection.pk)


def lock_open(inspection: Inspection) -> Inspection:
    """Return the inspection locked, as long as it is open.

    Raises:
        FinishedError: it is finished.
    """
    locked = lock(inspection)
    if locked.finished_at is not None:
        raise FinishedError
    return locked
