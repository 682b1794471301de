"""Opens a decision to buy again: the bike was not bought after all."""

from __future__ import annotations

from django.db import transaction

from quotes.buyin.models import Decision, MarginCheck
from quotes.quoting.trail import signed
from workshop.bikes.models import Bike, Stage
from workshop.bikes.verbs.stages import step_back
from workshop.people.models import User

LONGEST_NOTE = 300


@transaction.atomic
def undecide(check: MarginCheck, bike: Bike, *, note: str, by: User) -> MarginCheck:
    """Return the check with its decision open; the decision before stays in its history.

    A bike that is “bought in” goes back to the stage before; one that has been inspected or
    quoted since stays where that brought it.

    Raises:
        StageError: it is not known where the bike stood before.
    """
    row = MarginCheck.objects.select_for_update(of=("self",)).get(pk=check.pk)
    row.decision, row.decision_note = Decision.OPEN, note[:LONGEST_NOTE]
    signed(row, by).save()
    if bike.stage == Stage.BOUGHT:
        step_back(bike)
    return row
