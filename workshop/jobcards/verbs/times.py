"""Starts and stops the time that a person spends on a task."""

from __future__ import annotations

import datetime as dt

from django.db import transaction
from django.db.models import Max, QuerySet
from django.utils import timezone

from workshop.core.cardstates import Action
from workshop.jobcards.errors import TaskStandsError
from workshop.jobcards.holding import done, held, late, moment_of, permit, seen_before
from workshop.jobcards.models import Task, TaskState, TimeSpan
from workshop.people.models import User


@transaction.atomic
def start_time(task: Task, *, by: User, key: str, at: dt.datetime | None = None) -> TimeSpan:
    """Return the time that runs for this person on the task, begun now where none did.

    What runs for them on another task stops: nobody works on two things at once.
    ``at`` is when it was begun, where that was before it could be told; it is never reckoned from
    before the end of what they did last.

    Raises:
        TaskStandsError: the task is not to do.
        CardStateError: the card is not in work.
        KeyClashError: the key was used for something else.
    """
    User.objects.select_for_update().get(pk=by.pk)  # two phones of one person take turns
    card = held(task.card_id)
    again = seen_before(card, key, Action.START_TIME, task.pk)
    running = TimeSpan.objects.filter(person=by, stopped_at__isnull=True)
    span = running.filter(task=task).first() or (again and task.spans.filter(person=by).last())
    if span:
        return span
    fresh = Task.objects.select_related("done_by").get(pk=task.pk)
    if fresh.state != TaskState.TO_DO:
        raise TaskStandsError(fresh)
    permit(card, Action.START_TIME)
    moment = moment_of(card, at)
    stop_spans(running, moment)
    if at is not None:
        moment = max(moment, _last_end(by) or moment)
    span = TimeSpan.objects.create(task=fresh, person=by, started_at=moment)
    words = f"began: {fresh.name}{late(moment)}"
    done(card, Action.START_TIME, key=key, by=by, words=words, subject=fresh.pk)
    return span


def _last_end(person: User) -> dt.datetime | None:
    """Return when the time that ran last for a person ended."""
    ended = TimeSpan.objects.filter(person=person, stopped_at__isnull=False)
    end: dt.datetime | None = ended.aggregate(last=Max("stopped_at"))["last"]
    return end


@transaction.atomic
def stop_time(task: Task, *, by: User, key: str, at: dt.datetime | None = None) -> None:
    """Stop the time that runs for this person on the task; where none does, nothing changes.

    ``at`` is when it was stopped, where that was before it could be told.

    Raises:
        CardStateError: the bike has been released.
        KeyClashError: the key was used for something else.
    """
    card = held(task.card_id)
    if seen_before(card, key, Action.STOP_TIME, task.pk):
        return
    moment = moment_of(card, at)
    if stop_spans(task.spans.filter(person=by), moment):
        words = f"paused: {task.name}{late(moment)}"
        done(card, Action.STOP_TIME, key=key, by=by, words=words, subject=task.pk)


def stop_spans(spans: QuerySet[TimeSpan], at: dt.datetime | None = None) -> int:
    """Stop the times that run among these, inside the caller's transaction; return how many.

    They stop now, or at ``at``, but never before they began.
    """
    running = list(spans.filter(stopped_at__isnull=True))
    for each in running:
        each.stopped_at = max(at or timezone.now(), each.started_at)
        each.save(update_fields=["stopped_at"])
    return len(running)
