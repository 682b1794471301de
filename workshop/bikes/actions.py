"""What can be done with a bike next, as buttons in the head of its page."""

from __future__ import annotations

from collections.abc import Iterable

from django.http import HttpRequest
from django.urls import reverse

from workshop.bikes.models import Bike, Stage
from workshop.bikes.panels import Action, Panel
from workshop.people.policy import allowed
from workshop.people.selectors import person_of

INSPECTION = 20
"""Panels up to this order are about the inspection: once it is done, the quote comes first."""


def actions_for(request: HttpRequest, bike: Bike, panels: Iterable[Panel]) -> list[Action]:
    """Return the buttons for this person: the next step of the work first."""
    role = person_of(request).role
    inspecting = bike.stage in {Stage.BOOKED_IN, Stage.INSPECTING}
    in_turn = panels if inspecting else sorted(panels, key=lambda panel: panel.order <= INSPECTION)
    actions = [action for panel in in_turn for action in panel.actions]
    if allowed(role, "bikes:edit"):
        actions.append(Action("Change", reverse("bikes:edit", args=(bike.pk,))))
    return actions
