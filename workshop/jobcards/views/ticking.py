"""Ticks tasks off and takes ticks back, starts and stops the time: on the card, in place.

Each of these addresses takes a POST with

- ``key``: 1 to 64 characters that nobody else uses on this card, such as a UUID. The page makes
  one whenever it shows a form. Whoever queues a tick while there is no network keeps the key of
  the form, or makes one of their own, and sends the same one every time they try again: what
  arrives twice under a key is done once.
- ``base_version``: the task's version as it was seen (ticks only).
- ``seconds_ago``: how long ago it was done, where it was done without a connection; the time that
  people spend on tasks is reckoned from then. Left out, it is done now.
- ``csrfmiddlewaretoken`` or the header ``X-CSRFToken``.

A browser's form is led back to the card. htmx gets the row anew, with head and foot out of band,
422 where it was refused. Whoever sends ``Accept: application/json`` gets

    {"outcome": "done" | "already" | "conflict" | "refused",
     "words": "…", "key": "…", "task": 12, "state": "done", "version": 3, "card_version": 41}

- ``done`` (200): it is done now. ``already`` (200): it was done before under this key.
- ``conflict`` (409): somebody changed the task meanwhile; ``words`` say who and what, ``state``
  and ``version`` are as they stand now. Sent again unchanged it is refused again.
- ``refused`` (422): the card does not stand where this may be done, or the key was used for
  something else.

Whoever is no longer signed in is redirected to the sign-in page; 403 is a role that may not, or a
form whose token is out of date; 404 is a task that is gone. Nothing is done in any of these cases.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.views.decorators.http import require_POST

from workshop.core.cardstates import Action
from workshop.jobcards.errors import StaleTaskError, TaskStandsError
from workshop.jobcards.models import CardEvent, Task
from workshop.jobcards.selectors import card_page, card_to_show
from workshop.jobcards.verbs.tick import tick, untick
from workshop.jobcards.verbs.times import start_time, stop_time
from workshop.jobcards.views.shared import (
    CONFLICT,
    REFUSALS,
    UNPROCESSABLE,
    back,
    done_at,
    in_place,
    key_of,
    number_in,
    task_of,
    wants_json,
)
from workshop.people.models import User
from workshop.people.selectors import person_of

STATUS = {"done": 200, "already": 200, "conflict": CONFLICT, "refused": UNPROCESSABLE}
Verb = Callable[[Task, User, str, int, dt.datetime | None], object]


@require_POST
def tick_task(request: HttpRequest, pk: int, task_id: int) -> HttpResponse:
    """Tick a task off."""

    def run(task: Task, by: User, key: str, base_version: int, at: dt.datetime | None) -> object:
        return tick(task, by=by, key=key, base_version=base_version, at=at)

    return _act(request, task_of(pk, task_id), Action.TICK, run)


@require_POST
def untick_task(request: HttpRequest, pk: int, task_id: int) -> HttpResponse:
    """Take a tick back."""

    def run(task: Task, by: User, key: str, base_version: int, at: dt.datetime | None) -> object:
        return untick(task, by=by, key=key, base_version=base_version)

    return _act(request, task_of(pk, task_id), Action.UNTICK, run)


@require_POST
def start(request: HttpRequest, pk: int, task_id: int) -> HttpResponse:
    """Start this person's time on a task."""

    def run(task: Task, by: User, key: str, _base_version: int, at: dt.datetime | None) -> object:
        return start_time(task, by=by, key=key, at=at)

    return _act(request, task_of(pk, task_id), Action.START_TIME, run)


@require_POST
def stop(request: HttpRequest, pk: int, task_id: int) -> HttpResponse:
    """Stop this person's time on a task."""

    def run(task: Task, by: User, key: str, _base_version: int, at: dt.datetime | None) -> object:
        return stop_time(task, by=by, key=key, at=at)

    return _act(request, task_of(pk, task_id), Action.STOP_TIME, run)


def _act(request: HttpRequest, task: Task, action: Action, verb: Verb) -> HttpResponse:
    """Run a verb on a task and answer as whoever asked reads it."""
    key = key_of(request)
    before = CardEvent.objects.filter(
        card=task.card_id, key=key, action=action.value, subject=task.pk
    )
    outcome, words = ("already" if before.exists() else "done"), ""
    try:
        base = number_in(request, "base_version")
        verb(task, person_of(request), key, base, done_at(request))
    except (StaleTaskError, TaskStandsError) as error:
        outcome, words = "conflict", str(error)
    except REFUSALS as error:
        outcome, words = "refused", str(error)
    if wants_json(request):
        return _json(task, key, outcome, words)
    if in_place(request):
        return _row(request, task, words)
    return back(request, task.card, f"task-{task.pk}", words)


def _json(task: Task, key: str, outcome: str, words: str) -> JsonResponse:
    """Answer a script: what came of it, and how the task stands now."""
    fresh = Task.objects.select_related("card").get(pk=task.pk)
    answer = {
        "outcome": outcome,
        "words": words,
        "key": key,
        "task": fresh.pk,
        "state": fresh.state,
        "version": fresh.version,
        "card_version": fresh.card.version,
    }
    return JsonResponse(answer, status=STATUS[outcome])


def _row(request: HttpRequest, task: Task, problem: str) -> HttpResponse:
    """Answer htmx: the task's row as it stands now, what went wrong in it, and all round it.

    ``version`` is that of the page that asks: what others did since then comes with the answer.
    """
    page = card_page(card_to_show(task.card_id), person_of(request))
    row = page.row(task.pk)
    others = page.changed_since(number_in(request, "version"))
    context = {
        "page": page,
        "row": row,
        "rows": others if others is None else [each for each in others if each is not row],
        "problem": problem,
        "oob": True,
    }
    status = UNPROCESSABLE if problem else 200
    return render(request, "workshop/jobcards/row_in_place.html", context, status=status)
