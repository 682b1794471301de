"""What can be done with a bike next, as buttons in the head of its page."""

from __future__ import annotations

from collections.abc import Iterable

from django.http import HttpRequest
from django.urls import reverse

from workshop.bikes.models import Bike
from workshop.bikes.panels import Action, Panel
from workshop.people.policy import allowed
from workshop.people.selectors import person_of


def actions_for(request: HttpRequest, bike: Bike, panels: Iterable[Panel]) -> list[Action]:
    """Return the buttons for this person: the next step of the work first."""
    role = person_of(request).role
    actions = [action for panel in panels for action in panel.actions]
    if allowed(role, "bikes:edit"):
        actions.append(Action("Change", reverse("bikes:edit", args=(bike.pk,))))
    return actions
