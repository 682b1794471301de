"""What this room shows on a bike's page: how its provenance stands, and the way to check it."""

from __future__ import annotations

from django.http import HttpRequest
from django.urls import reverse

from quotes.provenance.models import ProvenanceCheck, State
from quotes.provenance.selectors import checks_of, reasons_against, standing_of
from workshop.bikes.models import Bike, Purpose
from workshop.bikes.panels import Action, Panel
from workshop.people.policy import allowed
from workshop.people.selectors import person_of


def provenance_panel(request: HttpRequest, bike: Bike) -> Panel | None:
    """Return how the provenance of a bike stands; the bench sees the frame number's step only."""
    checks = list(checks_of(bike))
    if not checks and bike.purpose != Purpose.BUY_IN:
        return None
    newest = checks[0] if checks else None
    role = person_of(request).role
    sees_all = allowed(role, "provenance:check")
    context = {
        "newest": newest,
        "standing": standing_of(newest),
        "reasons": reasons_against(newest, bike) if sees_all else (),
        "earlier": checks[1:] if sees_all else (),
        "sees_all": sees_all,
    }
    return Panel(
        "Provenance",
        "quotes/provenance/bike_panel.html",
        context,
        order=15,
        actions=_actions(role, bike, newest),
    )


def _actions(role: str, bike: Bike, newest: ProvenanceCheck | None) -> tuple[Action, ...]:
    """Return the button for this person: begin, go on, or read the frame number."""
    is_open = newest is not None and newest.state == State.OPEN
    if newest and is_open and allowed(role, "provenance:check"):
        return (
            Action("Go on with the provenance", reverse("provenance:check", args=(newest.pk,))),
        )
    if newest and is_open and not newest.frame_second and allowed(role, "provenance:frame"):
        return (Action("Read the frame number", reverse("provenance:frame", args=(newest.pk,))),)
    may_begin = allowed(role, "provenance:start", "POST") and bike.purpose == Purpose.BUY_IN
    if may_begin and newest is None:
        return (Action("Check the provenance", reverse("provenance:start", args=(bike.pk,)), True),)  # noqa: FBT003
    return ()
