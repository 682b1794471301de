"""What this room shows on a bike's page: the last inspection, and the way into the next."""

from __future__ import annotations

from django.http import HttpRequest
from django.urls import reverse

from workshop.bikes.models import Bike, Stage
from workshop.bikes.panels import Action, Panel
from workshop.inspections.models import Inspection
from workshop.inspections.selectors import drawing_of, latest_inspection, walk_of
from workshop.people.policy import allowed
from workshop.people.selectors import person_of

TO_INSPECT = frozenset({Stage.BOOKED_IN, Stage.INSPECTING})


def inspection_panel(request: HttpRequest, bike: Bike) -> Panel:
    """Return the bike's last inspection with its drawing and findings."""
    inspection = latest_inspection(bike)
    actions = _actions(person_of(request).role, bike, inspection)
    if inspection is None:
        template = "workshop/inspections/bike_panel_empty.html"
        return Panel("Inspection", template, {}, order=10, actions=actions)
    walk = walk_of(inspection)
    may_walk = allowed(person_of(request).role, "inspections:checkpoint")
    context = {
        "walk": walk,
        "drawing": drawing_of(walk, link=may_walk),
        "found": [step for step in walk.steps if step.findings],
    }
    template = "workshop/inspections/bike_panel.html"
    return Panel("Inspection", template, context, order=10, actions=actions)


def _actions(role: str, bike: Bike, inspection: Inspection | None) -> tuple[Action, ...]:
    """Return the button that this person may use: start, go on, or inspect again."""
    if not allowed(role, "inspections:start", "POST"):
        return ()
    if inspection and inspection.finished_at is None:
        address = reverse("inspections:overview", args=(inspection.pk,))
        return (Action("Go on with the inspection", address, next_at=TO_INSPECT),)
    words = "Inspect it again" if inspection else "Start the inspection"
    url = reverse("inspections:start", args=(bike.pk,))
    return (Action(words, url, post=True, next_at=TO_INSPECT),)
