"""Moves a bike from one stage to another, where that move makes sense."""

from __future__ import annotations

from django.db import transaction

from workshop.bikes.models import Bike, Stage

MOVES: dict[Stage, frozenset[Stage]] = {
    Stage.BOOKED_IN: frozenset({Stage.INSPECTING, Stage.LEFT}),
    Stage.INSPECTING: frozenset({Stage.INSPECTED, Stage.LEFT}),
    Stage.INSPECTED: frozenset({Stage.INSPECTING, Stage.QUOTED, Stage.BOUGHT, Stage.LEFT}),
    Stage.QUOTED: frozenset({Stage.INSPECTING, Stage.SENT, Stage.BOUGHT, Stage.LEFT}),
    Stage.SENT: frozenset(
        {
            Stage.INSPECTING,
            Stage.QUOTED,
            Stage.ACCEPTED,
            Stage.REFUSED,
            Stage.BOUGHT,
            Stage.LEFT,
        }
    ),
    Stage.ACCEPTED: frozenset(
        {Stage.INSPECTING, Stage.QUOTED, Stage.IN_WORK, Stage.BOUGHT, Stage.LEFT}
    ),
    Stage.IN_WORK: frozenset({Stage.RELEASED}),
    Stage.RELEASED: frozenset(
        {Stage.INSPECTING, Stage.QUOTED, Stage.BOUGHT, Stage.LEFT, Stage.SOLD}
    ),
    Stage.REFUSED: frozenset({Stage.INSPECTING, Stage.QUOTED, Stage.BOUGHT, Stage.LEFT}),
    Stage.BOUGHT: frozenset({Stage.INSPECTING, Stage.QUOTED, Stage.IN_WORK, Stage.LEFT}),
    Stage.LEFT: frozenset({Stage.INSPECTING, Stage.QUOTED, Stage.BOUGHT}),
    Stage.SOLD: frozenset({Stage.INSPECTING, Stage.BOUGHT, Stage.RELEASED}),
}
"""Where a bike may go from each stage. What was left may come back, and what was bought is
inspected and quoted again as any other. What was sold comes back when the sale is taken back, or
to be inspected for its new owner. While it is in work, only its release moves it on."""


class StageError(Exception):
    """Raised when a bike can't go to a stage from where it stands."""


@transaction.atomic
def move_to(bike: Bike, stage: Stage | str) -> Bike:
    """Move a bike to a stage and return it; to stay where it is is no move and no error.

    The row is locked, so that two people can't move it from the same stage to different ones.

    Raises:
        StageError: there is no way from the bike's stage to the one asked for.
    """
    wanted = Stage(stage)
    current = Stage(
        Bike.objects.select_for_update().values_list("stage", flat=True).get(pk=bike.pk)
    )
    if wanted not in MOVES[current] | {current}:
        raise StageError(
            f"{bike} is “{current.label}”: it can't become “{wanted.label}” from there."
        )
    bike.stage = wanted
    if wanted != current:
        bike.save(update_fields=["stage"])
    return bike


@transaction.atomic
def step_back(bike: Bike) -> Bike:
    """Move a bike to where it stood before its present stage, and return it.

    For what turns out not to have happened; all else goes by ``move_to``.

    Raises:
        StageError: it has stood nowhere else, as far as is known.
    """
    current = Bike.objects.select_for_update().values_list("stage", flat=True).get(pk=bike.pk)
    past = bike.history.exclude(stage=current).order_by("-history_id")
    before = past.values_list("stage", flat=True).first()
    if before is None:
        raise StageError(f"It is not known where {bike} stood before it was “{current}”.")
    bike.stage = before
    bike.save(update_fields=["stage"])
    return bike
