"""Starts and stops the time that a person spends on a task."""

from __future__ import annotations

from django.db import transaction
from django.db.models import QuerySet
from django.utils import timezone

from workshop.core.cardstates import Action
from workshop.jobcards.errors import TaskStandsError
from workshop.jobcards.holding import done, held, permit, seen_before
from workshop.jobcards.models import Task, TaskState, TimeSpan
from workshop.people.models import User


@transaction.atomic
def start_time(task: Task, *, by: User, key: str) -> TimeSpan:
    """Return the time that runs for this person on the task, begun now where none did.

    What runs for them on another task stops: nobody works on two things at once.

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
    stop_spans(running)
    span = TimeSpan.objects.create(task=fresh, person=by, started_at=timezone.now())
    done(card, Action.START_TIME, key=key, by=by, words=f"began: {fresh.name}", subject=fresh.pk)
    return span


@transaction.atomic
def stop_time(task: Task, *, by: User, key: str) -> None:
    """Stop the time that runs for this person on the task; where none does, nothing changes.

    Raises:
        CardStateError: the bike has been released.
        KeyClashError: the key was used for something else.
    """
    card = held(task.card_id)
    if seen_before(card, key, Action.STOP_TIME, task.pk):
        return
    if stop_spans(task.spans.filter(person=by)):
        words = f"paused: {task.name}"
        done(card, Action.STOP_TIME, key=key, by=by, words=words, subject=task.pk)


def stop_spans(spans: QuerySet[TimeSpan]) -> int:
    """Stop the times that run among these, inside the caller's transaction; return how many."""
    return spans.filter(stopped_at__isnull=True).update(stopped_at=timezone.now())
