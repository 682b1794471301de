"""Ticks a task off, and takes the tick back."""

from __future__ import annotations

import datetime as dt

from django.db import transaction

from workshop.core.cardstates import Action
from workshop.jobcards.errors import StaleTaskError, TaskStandsError
from workshop.jobcards.holding import done, held, late, moment_of, permit, seen_before
from workshop.jobcards.models import JobCard, Task, TaskState
from workshop.jobcards.verbs.times import stop_spans
from workshop.people.models import User


@transaction.atomic
def tick(
    task: Task, *, by: User, key: str, base_version: int, at: dt.datetime | None = None
) -> Task:
    """Return the task ticked off; all time that runs on it stops, whoever's it is.

    ``base_version`` is the version that the person saw: of two who tick at once one wins, and
    the other is told. The same ``key`` again changes nothing. With the last task the card is to
    be checked. ``at`` is when it was done, where that was before it could be told.

    Raises:
        StaleTaskError: somebody changed the task meanwhile.
        TaskStandsError: it is stopped or no longer wanted.
        CardStateError: the card is not in work.
        KeyClashError: the key was used for something else.
    """
    card = held(task.card_id)
    fresh = _fresh(task)
    if seen_before(card, key, Action.TICK, fresh.pk):
        return fresh
    _refuse_stale(fresh, base_version)
    if fresh.state != TaskState.TO_DO:
        raise TaskStandsError(fresh)
    permit(card, Action.TICK)
    moment = moment_of(card, at)
    fresh.state, fresh.done_by, fresh.done_at = TaskState.DONE, by, moment
    _save(fresh)
    stop_spans(fresh.spans.all(), moment)
    words = f"ticked: {fresh.name}{late(moment)}"
    done(card, Action.TICK, key=key, by=by, words=words, subject=fresh.pk)
    return fresh


@transaction.atomic
def untick(task: Task, *, by: User, key: str, base_version: int) -> Task:
    """Return the task to be done again; signatures of the release check fall with it.

    Raises as ``tick`` does.
    """
    card = held(task.card_id)
    fresh = _fresh(task)
    if seen_before(card, key, Action.UNTICK, fresh.pk):
        return fresh
    _refuse_stale(fresh, base_version)
    if fresh.state != TaskState.DONE:
        raise TaskStandsError(fresh)
    permit(card, Action.UNTICK)
    fresh.state, fresh.done_by, fresh.done_at = TaskState.TO_DO, None, None
    _save(fresh)
    void_signatures(card)
    done(card, Action.UNTICK, key=key, by=by, words=f"tick back: {fresh.name}", subject=fresh.pk)
    return fresh


def void_signatures(card: JobCard) -> None:
    """Take the signatures of the release check away: something changed under them."""
    card.checks.all().delete()


def _fresh(task: Task) -> Task:
    """Return the task as it is stored now."""
    return Task.objects.select_related("done_by", "card").get(pk=task.pk)


def _save(task: Task) -> None:
    """Save what a tick changes, one version further."""
    task.version += 1
    task.save(update_fields=["state", "done_by", "done_at", "version"])


def _refuse_stale(task: Task, base_version: int) -> None:
    """Raise where the task was changed since the person saw it."""
    if task.version != base_version:
        raise StaleTaskError(task)
