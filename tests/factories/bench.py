"""People at the bench with their hours, and cards with timed tasks, as tests want them."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal
from typing import Any

from django.utils import timezone

from tests.factories.people import UserFactory
from workshop.bench.models import BenchPerson, BenchSettings, WorkingHours
from workshop.jobcards.models import JobCard, Task, TimeSpan
from workshop.people.models import User

FRIDAY = 4
NINE, FIVE = 9 * 60, 17 * 60


def at_bench(
    user: User | None = None,
    *,
    share: object = "1",
    weekdays: range = range(FRIDAY + 1),
    starts: int = NINE,
    ends: int = FIVE,
    pause: int = 0,
) -> BenchPerson:
    """Return somebody with the same hours on each of these weekdays."""
    person = BenchPerson.objects.create(
        user=user or UserFactory.create(), bench_share=Decimal(str(share))
    )
    for weekday in weekdays:
        WorkingHours.objects.create(
            person=person, weekday=weekday, starts=starts, ends=ends, pause=pause
        )
    return person


def settings(**fields: Any) -> BenchSettings:
    """Keep how the shop promises; without a release check unless one is wished for."""
    fields = {"check_minutes": 0, "keeps_holidays": False} | fields
    return BenchSettings.objects.update_or_create(pk=1, defaults=fields)[0]


def timed(task: Task, minutes: float, *, by: User | None = None, days: float = 0) -> TimeSpan:
    """Let somebody have worked on a task for so long, some days ago."""
    start = timezone.now() - dt.timedelta(days=days, minutes=minutes)
    return TimeSpan.objects.create(
        task=task,
        person=by or UserFactory.create(),
        started_at=start,
        stopped_at=start + dt.timedelta(minutes=minutes),
    )


def finished(card: JobCard, ratio: float, *, timed_too: bool = True) -> JobCard:
    """Let a card be done and released, each task having taken its standard time by a ratio."""
    by, now = UserFactory.create(), timezone.now()
    for task in card.tasks.all():
        task.state, task.done_by, task.done_at = "done", by, now
        task.save()
        if timed_too and task.minutes:
            timed(task, float(task.minutes) * ratio, by=by)
    card.state, card.released_by, card.released_at = "released", by, now
    card.save()
    return card
