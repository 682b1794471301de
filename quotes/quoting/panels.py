"""What quotes add to other pages: the quotes of a bike, and what waits today."""

from __future__ import annotations

from collections.abc import Iterator

from django.http import HttpRequest
from django.urls import reverse
from django.utils import timezone

from quotes.quoting.models import Revision, State
from quotes.quoting.selectors.lists import drafts, revisions_of, waiting
from workshop.bikes.models import Bike, Stage
from workshop.bikes.panels import Action, Panel
from workshop.inspections.selectors import latest_inspection
from workshop.people.policy import allowed
from workshop.people.selectors import person_of

MOST = 8
TO_QUOTE = frozenset({Stage.INSPECTED, Stage.BOUGHT})
TO_FINISH = frozenset({Stage.INSPECTED, Stage.QUOTED, Stage.SENT, Stage.IN_WORK, Stage.BOUGHT})
TO_ANSWER = frozenset({Stage.SENT, Stage.IN_WORK, Stage.BOUGHT})


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
        actions.append(Action(f"Start a quote{unfinished}", url, post=True, next_at=TO_QUOTE))
    for revision in revisions[:1]:
        actions += _to(revision, bike, role)
    if not (revisions or actions):
        return None
    context = {"revisions": revisions, "inspection": inspection}
    template = "quotes/quoting/bike_panel.html"
    return Panel("Quotes", template, context, order=25, actions=tuple(actions))


def _to(revision: Revision, bike: Bike, role: str) -> Iterator[Action]:
    """Yield the buttons to what is to be done with a quote, and to the quote."""
    number = revision.quote.number
    place = (number, revision.number)
    page = reverse("quoting:revision", args=place)
    if revision.is_draft and allowed(role, "quoting:choose", "POST"):
        yield Action(f"Go on with quote {number}", page, next_at=TO_FINISH)
        return
    if revision.state == State.SENT and allowed(role, "acceptance:record", "POST"):
        url = reverse("acceptance:record", args=place)
        yield Action("Record the answer", url, next_at=TO_ANSWER)
    said_yes = revision.state in {State.ACCEPTED, State.PART_ACCEPTED}
    if said_yes and bike.stage == Stage.ACCEPTED and allowed(role, "acceptance:open_card", "POST"):
        url = reverse("acceptance:open_card", args=place)
        yield Action("Open the job card", url, next_at=frozenset({Stage.ACCEPTED}))
    yield Action(f"Quote {number}", page)


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
