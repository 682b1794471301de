"""Opens a job card for the release check alone, on a bike of the shop's own."""

from __future__ import annotations

from django.db import transaction

from inventory.numbering.verbs.next_number import next_number
from workshop.bikes.models import Bike, Purpose, Stage
from workshop.bikes.verbs.stages import move_to
from workshop.core.cardstates import CardState
from workshop.inspections.models import Inspection
from workshop.inspections.selectors import latest_inspection
from workshop.jobcards.errors import JobCardError
from workshop.jobcards.models import JobCard
from workshop.jobcards.signing import unsafe_left
from workshop.jobcards.verbs.open_card import CardOpenError
from workshop.people.models import User

NOT_OURS = "Only a bike that the shop bought is looked over without a quote."
WRONG_STAGE = "The bike is “{}”. The release check alone is for one that is “{}”."
NO_WALK = "No walk round this bike is finished. Inspect it first."


class CannotCheckError(JobCardError):
    """Raised where a bike is not one for the release check alone; ``reasons`` are sentences."""

    def __init__(self, *reasons: str) -> None:
        self.reasons = reasons
        super().__init__(" ".join(reasons))


@transaction.atomic
def open_check(bike: Bike, *, by: User) -> JobCard:
    """Return a card without quote and tasks that is “to be checked”; the bike is “in work”.

    Work that turns up meanwhile is quoted like any other; its answer is taken over into this card.

    Raises:
        CardOpenError: there is an open card for the bike.
        CannotCheckError: it is not the shop's, not just bought, not inspected, or not safe.
    """
    locked = Bike.objects.select_for_update().get(pk=bike.pk)
    twin = JobCard.objects.filter(bike=locked).exclude(state=CardState.RELEASED.value).first()
    if twin is not None:
        raise CardOpenError(twin)
    if reasons := reasons_not_to_check(locked):
        raise CannotCheckError(*reasons)
    card = JobCard.objects.create(
        number=next_number("job card", "J", 4),
        bike=locked,
        inspection=_walk_of(locked),
        state=CardState.CHECKING.value,
        opened_by=by,
    )
    move_to(locked, Stage.IN_WORK)
    return card


def may_stand_for_check(bike: Bike) -> bool:
    """Tell whether a bike is the shop's own and stands where it may be looked over."""
    return bike.purpose == Purpose.BUY_IN and bike.stage == Stage.BOUGHT


def reasons_not_to_check(bike: Bike) -> list[str]:
    """Return why a bike without an open card can't be looked over alone, empty where it can."""
    if bike.purpose != Purpose.BUY_IN:
        return [NOT_OURS]
    if not may_stand_for_check(bike):
        return [WRONG_STAGE.format(bike.get_stage_display(), Stage.BOUGHT.label)]
    walk = latest_inspection(bike)
    if walk is None or walk.finished_at is None:
        return [NO_WALK]
    return [
        f"Unsafe and not put right: {each}. Quote it and do the work." for each in unsafe_left(bike)
    ]


def _walk_of(bike: Bike) -> Inspection:
    """Return the bike's latest walk, which is known to be there."""
    return Inspection.objects.filter(bike=bike)[:1].get()
