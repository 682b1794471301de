"""What quotes add to other pages: the quotes of a bike, and what waits today."""

from __future__ import annotations

from django.http import HttpRequest
from django.urls import reverse
from django.utils import timezone

from quotes.quoting.models import Revision
from quotes.quoting.selectors.lists import drafts, revisions_of, waiting
from workshop.bikes.models import Bike
from workshop.bikes.panels import Action, Panel
from workshop.inspections.selectors import latest_inspection
from workshop.people.policy import allowed
from workshop.people.selectors import person_of

MOST = 8


def bike_panel(request: HttpRequest, bike: Bike) -> Panel | None:
    """Return the quotes for a bike, with a button to the newest, or to start one."""
    role = person_of(request).role
    if not allowed(role, "quoting:revision"):
        return None
    revisions = list(revisions_of(bike))
    inspection = latest_inspection(bike)
    actions: list[Action] = []
    quoted = {revision.quote.inspection_id for revision in revisions}
    if inspection and inspection.pk not in quoted and allowed(role, "quoting:start", "POST"):
        unfinished = "" if inspection.finished_at else " (walk not finished)"
        url = reverse("quoting:start", args=(inspection.pk,))
        actions.append(Action(f"Start a quote{unfinished}", url, post=True))
    actions += [_to(revision, role) for revision in revisions[:1]]
    if not (revisions or actions):
        return None
    context = {"revisions": revisions, "inspection": inspection}
    template = "quotes/quoting/bike_panel.html"
    return Panel("Quotes", template, context, order=25, actions=tuple(actions))


def _to(revision: Revision, role: str) -> Action:
    """Return the button to a quote, in words of what is to be done there."""
    number = revision.quote.number
    going_on = revision.is_draft and allowed(role, "quoting:choose", "POST")
    words = f"Go on with quote {number}" if going_on else f"Quote {number}"
    return Action(words, reverse("quoting:revision", args=(number, revision.number)))


def home_panel(request: HttpRequest) -> Panel | None:
    """Return the quotes that wait for an answer, and the drafts."""
    if not allowed(person_of(request).role, "quoting:revision"):
        return None
    today = timezone.localdate()
    sent, begun = waiting(), drafts()
    context = {
        "waiting": [
            (row, bool(row.valid_until and row.valid_until < today)) for row in sent[:MOST]
        ],
        "waiting_count": sent.count(),
        "drafts": list(begun[:MOST]),
        "draft_count": begun.count(),
    }
    if not (context["waiting"] or context["drafts"]):
        return None
    return Panel("Quotes", "quotes/quoting/home_panel.html", context, order=30)
