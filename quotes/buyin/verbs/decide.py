"""Decides on a margin check: the bike is bought or left."""

from __future__ import annotations

from django.db import transaction

from quotes.buyin.models import Decision, MarginCheck
from quotes.quoting.trail import signed
from quotes.sales.selectors.standing import stock_of
from workshop.bikes.models import Bike, Purpose, Stage
from workshop.bikes.verbs.stages import move_to
from workshop.people.models import User

STAGES = {Decision.BUY: Stage.BOUGHT, Decision.LEAVE: Stage.LEFT}


class DecisionError(Exception):
    """Raised where a decision cannot be taken; its words say why and what to do."""


@transaction.atomic
def decide(check: MarginCheck, decision: Decision, *, note: str, by: User) -> MarginCheck:
    """Keep the decision and move the bike to where it belongs then.

    Raises:
        DecisionError: it was decided before, a newer check stands, a decision against the
            verdict has no note, or a bike to be left stands in the stock book.
        StageError: the bike cannot be bought or left from the stage it is at.
    """
    row = MarginCheck.objects.select_for_update(of=("self",)).get(pk=check.pk)
    if row.decision != Decision.OPEN:
        raise DecisionError(
            f"This was decided already: {row.get_decision_display()}."
            " Make a new margin check to decide anew."
        )
    if MarginCheck.objects.filter(bike=row.bike_id, pk__gt=row.pk).exists():
        raise DecisionError("There is a newer margin check of this bike. Decide on that one.")
    if against_verdict(row.verdict, decision) and not note.strip():
        raise DecisionError("This goes against the verdict. Write a note that says why.")
    here = stock_of(row.bike) if decision == Decision.LEAVE else None
    if here is not None:
        raise DecisionError(
            f"It stands in the stock book as {here}. If it was not bought, reverse that entry."
        )
    move_to(row.bike, STAGES[decision])
    if decision == Decision.BUY:
        _take_for_our_own(row.bike)
    row.decision, row.decision_note = decision, note.strip()
    signed(row, by).save()
    return row


def _take_for_our_own(bike: Bike) -> None:
    """Let a bike that came in for repair and is bought be one of the shop's own from now on."""
    if bike.purpose != Purpose.BUY_IN:
        bike.purpose = Purpose.BUY_IN
        bike.save(update_fields=["purpose"])


def against_verdict(verdict: str, decision: str) -> bool:
    """Tell whether a decision is not what the verdict says; haggling may end either way."""
    return {verdict, decision} == {"buy", "leave"}
