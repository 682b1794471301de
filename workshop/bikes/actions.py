"""What can be done with a bike, as buttons in the head of its page, and what comes next."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from django.http import HttpRequest
from django.urls import reverse

from workshop.bikes.models import Bike, Purpose, Stage
from workshop.bikes.panels import Action, Panel
from workshop.people.policy import allowed
from workshop.people.selectors import person_of

INSPECTION = 20
"""Panels up to this order are about the inspection: once it is done, the quote comes first."""

WAITS_FOR = {
    Stage.BOOKED_IN: "Waits for its inspection.",
    Stage.INSPECTING: "The walk round it is not finished.",
    Stage.INSPECTED: "Waits for its quote.",
    Stage.QUOTED: "Waits for its quote to be finished and sent.",
    Stage.SENT: "Waits for the answer to its quote.",
    Stage.ACCEPTED: "Waits for its job card.",
    Stage.IN_WORK: "On the bench, until it is released.",
    Stage.RELEASED: "Ready to be fetched.",
    Stage.REFUSED: "Nothing is to be done on it: ready to be fetched.",
    Stage.BOUGHT: "Waits to be made ready and released.",
    Stage.LEFT: "Goes back to its seller.",
    Stage.SOLD: "Nothing is left to be done.",
}


def waits_for(bike: Bike) -> str:
    """Return in a sentence what a bike waits for."""
    if bike.stage == Stage.RELEASED and bike.purpose == Purpose.BUY_IN:
        return "Ready to be sold."
    return WAITS_FOR[Stage(bike.stage)]


def actions_for(request: HttpRequest, bike: Bike, panels: Iterable[Panel]) -> list[Action]:
    """Return the buttons for this person: the next step of the work first."""
    role = person_of(request).role
    inspecting = bike.stage in {Stage.BOOKED_IN, Stage.INSPECTING}
    in_turn = panels if inspecting else sorted(panels, key=lambda panel: panel.order <= INSPECTION)
    actions = [action for panel in in_turn for action in panel.actions]
    actions.sort(key=lambda action: bike.stage not in action.next_at)
    if allowed(role, "bikes:edit"):
        actions.append(Action("Change", reverse("bikes:edit", args=(bike.pk,))))
    return actions


def next_of(bike: Bike, actions: Sequence[Action]) -> Action | None:
    """Return the button for the next step, None where this person has none to take."""
    first = actions[0] if actions else None
    return first if first and bike.stage in first.next_at else None
