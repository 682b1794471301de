"""Finishes an inspection once every checkpoint was looked at."""

from __future__ import annotations

from collections.abc import Sequence

from django.db import transaction
from django.utils import timezone

from workshop.bikes.models import Stage
from workshop.bikes.verbs.stages import move_to
from workshop.inspections.models import Check, Checkpoint, Inspection, Outcome
from workshop.inspections.selectors import walk_of
from workshop.inspections.verbs.locking import lock_open
from workshop.people.models import User


class UnfinishedError(Exception):
    """Raised when checkpoints are still open; they stand in ``checkpoints``."""

    def __init__(self, checkpoints: Sequence[Checkpoint]) -> None:
        """Keep the checkpoints, in the order of the walk."""
        self.checkpoints = tuple(checkpoints)
        super().__init__(f"Not yet looked at: {', '.join(map(str, checkpoints))}.")


@transaction.atomic
def finish_inspection(inspection: Inspection, by: User, *, rest_because: str = "") -> Inspection:
    """Finish the inspection; the bike moves on to "inspected".

    With ``rest_because`` every checkpoint still open is recorded as not tested for that reason
    (a deal-breaker was found, the seller left with the bike).

    Raises:
        FinishedError: it is finished already.
        UnfinishedError: checkpoints are open and no reason was given; nothing has changed.
    """
    locked = lock_open(inspection)
    still_open = [step.checkpoint for step in walk_of(locked).open_steps]
    reason = rest_because.strip()
    if still_open and not reason:
        raise UnfinishedError(still_open)
    Check.objects.bulk_create(
        Check(
            inspection=locked,
            checkpoint=checkpoint,
            outcome=Outcome.NOT_TESTED,
            not_tested_reason=reason,
            by=by,
        )
        for checkpoint in still_open
    )
    locked.finished_at = timezone.now()
    locked.finished_by = by
    locked.save(update_fields=["finished_at", "finished_by"])
    if locked.bike.stage == Stage.INSPECTING:
        move_to(locked.bike, Stage.INSPECTED)
    return locked
