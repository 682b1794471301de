"""Takes back a look at a checkpoint that was recorded by mistake."""

from __future__ import annotations

from django.db import transaction
from django.db.models import ProtectedError

from workshop.inspections.models import Checkpoint, Inspection
from workshop.inspections.verbs.locking import lock_open
from workshop.inspections.verbs.photos import drop_photos
from workshop.inspections.verbs.record import StaleCheckError


class QuotedError(Exception):
    """Raised where a finding made there stands on a quote already."""

    def __init__(self) -> None:
        super().__init__(
            "What was found here already stands on a quote and stays on record. "
            "Instead of taking it back, judge it “sound” and give the reason."
        )


@transaction.atomic
def take_back(inspection: Inspection, checkpoint: Checkpoint, *, base_version: int) -> None:
    """Let a checkpoint count as not looked at: outcome, readings, findings and photos go.

    ``base_version`` is the version that the person saw. Where nothing is recorded, nothing
    changes: a double tap.

    Raises:
        QuotedError: a finding made there stands on a quote.
        StaleCheckError: somebody saved the checkpoint meanwhile.
        FinishedError: the inspection is finished.
    """
    locked = lock_open(inspection)
    check = locked.checks.filter(checkpoint=checkpoint).select_related("by", "checkpoint").first()
    if check is None:
        return
    if check.version != base_version:
        raise StaleCheckError(check)
    drop_photos(check.photos.all())
    try:
        check.delete()
    except ProtectedError as error:
        raise QuotedError from error
