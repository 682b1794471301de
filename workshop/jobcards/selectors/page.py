"""Reading a job card with its tasks, parts, times and readings, in a constant number of queries."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property

from django.db.models import Prefetch, QuerySet
from django.shortcuts import get_object_or_404
from django.utils import timezone

from inventory.core.fitting import Fit
from workshop.bikes.fitting import fits_of
from workshop.core.cardstates import NEXT, Action, CardState
from workshop.inspections.models import Finding, Reading
from workshop.jobcards.models import (
    AfterReading,
    CardEvent,
    Declined,
    ExtraWork,
    JobCard,
    Task,
    TaskKind,
    TaskPart,
    TaskState,
    TimeSpan,
)
from workshop.jobcards.selectors.parts import with_draws
from workshop.jobcards.verbs.set_aside_come_in import ARRIVED
from workshop.people.models import User

ZERO = Decimal(0)
MINUTE = Decimal(60)
DEEPEST = 3
LATEST = 12


@dataclass(frozen=True)
class TaskRow:
    """A task as a row: its parts, its latest readings, who is and was at it, how deep inside.

    ``depth`` counts the access steps that are open round it; ``now`` ends what still runs.
    """

    task: Task
    depth: int
    parts: Sequence[TaskPart]
    readings: Sequence[AfterReading]
    spans: Sequence[TimeSpan]
    now: dt.datetime
    mine: bool = False

    @property
    def stands(self) -> str:
        """Return how the row stands for this person: the state, and whether they are at it."""
        return f"{self.task.state}_running" if self.mine else str(self.task.state)

    @property
    def running(self) -> list[TimeSpan]:
        """Return the times that run."""
        return [each for each in self.spans if each.stopped_at is None]

    @property
    def spent(self) -> Decimal:
        """Return the minutes that all people have spent on it so far."""
        return minutes_of(self.spans, self.now)

    @property
    def is_over(self) -> bool:
        """Tell whether it took, or takes, longer than the standard time, to the minute shown."""
        return bool(self.task.minutes) and round(self.spent) > round(self.task.minutes)

    @property
    def short(self) -> list[TaskPart]:
        """Return the parts that are neither drawn nor set aside."""
        return [each for each in self.parts if each.short]

    @property
    def to_draw(self) -> list[TaskPart]:
        """Return the parts still to be drawn."""
        return [each for each in self.parts if each.to_draw]

    @property
    def measured(self) -> list[AfterReading]:
        """Return what else was read last."""
        return [each for each in self.readings if not each.is_torque]

    @property
    def is_maker(self) -> bool:
        """Tell whether the torque to reach is the maker's."""
        return self.task.figure != self.task.ours

    @property
    def torque_source(self) -> str:
        """Return who says what torque is to be reached."""
        task = self.task
        if self.is_maker:
            return f"the maker: {task.maker_source}"
        return f"ours: {task.torque_source}" if task.torque_source else "ours"


@dataclass(frozen=True)
class CardPage:
    """All that a card's page shows, for one person.

    ``fits`` says by pk which parts fit the bike, of those of which something tells.
    """

    card: JobCard
    rows: Sequence[TaskRow]
    declined: Sequence[Declined]
    extras: Sequence[ExtraWork]
    events: Sequence[CardEvent]
    now: dt.datetime
    person: User
    fits: Mapping[int, Fit]

    @cached_property
    def wanted(self) -> list[TaskRow]:
        """Return the rows that are wanted, whether done or not."""
        return [row for row in self.rows if row.task.state != TaskState.DROPPED]

    @property
    def total(self) -> int:
        """Return how many tasks there are."""
        return len(self.wanted)

    @property
    def done(self) -> int:
        """Return how many tasks are ticked."""
        return sum(row.task.is_done for row in self.wanted)

    @property
    def stopped(self) -> int:
        """Return how many tasks are stopped."""
        return sum(row.task.state == TaskState.STOPPED for row in self.wanted)

    @property
    def standard(self) -> Decimal:
        """Return the standard time of all that is wanted, in minutes."""
        return sum((row.task.minutes for row in self.wanted), ZERO)

    @property
    def spent(self) -> Decimal:
        """Return the minutes spent so far, on what was dropped since too."""
        return sum((row.spent for row in self.rows), ZERO)

    @property
    def running(self) -> int:
        """Return how many times run on this card."""
        return sum(len(row.running) for row in self.rows)

    @property
    def short(self) -> list[TaskPart]:
        """Return the parts that are neither drawn nor set aside."""
        return [part for row in self.wanted for part in row.short]

    @property
    def come_in(self) -> list[CardEvent]:
        """Return what came in of late, is set aside for the card and is not drawn yet."""
        kept = {part.part_id for row in self.wanted for part in row.parts if part.reserved}
        came = (each for each in self.events if each.key.startswith(ARRIVED))
        return [each for each in came if each.subject in kept]

    @property
    def must_declined(self) -> list[Declined]:
        """Return what must be done and is not wanted."""
        return [each for each in self.declined if each.is_must]

    @property
    def waiting(self) -> list[ExtraWork]:
        """Return the extra work that waits for the customer."""
        return [each for each in self.extras if each.is_waiting]

    @property
    def next(self) -> TaskRow | None:
        """Return what this person does next: what their time runs on, else the first to do."""
        to_do = [row for row in self.wanted if row.task.state == TaskState.TO_DO]
        mine = next((row for row in to_do if row.mine), None)
        free = next((row for row in to_do if not row.running), None)
        return mine or free or next(iter(to_do), None)

    @property
    def is_drawing(self) -> bool:
        """Tell whether parts may be drawn as the card stands."""
        return Action.DRAW in NEXT[self.card.stands]

    @property
    def is_checking(self) -> bool:
        """Tell whether all is ticked and the release check is due."""
        return self.card.stands is CardState.CHECKING

    def row(self, task_id: int) -> TaskRow | None:
        """Return the row of a task."""
        return next((row for row in self.rows if row.task.pk == task_id), None)

    def changed_since(self, version: int) -> list[TaskRow] | None:
        """Return the rows that changed since a version; None where the order may have changed.

        Times stop without a word where their person begins something else, so rows with times of
        whoever did something count as changed too.
        """
        ahead = self.card.version - version
        if not 0 <= ahead <= len(self.events):
            return None
        new = self.events[:ahead]
        if any(each.action in _ANEW for each in new):
            return None
        subjects = {each.subject for each in new if each.action in _OF_TASKS}
        parts = {each.subject for each in new if each.action in _OF_PARTS}
        people = {each.by_id for each in new}
        return [
            row
            for row in self.rows
            if row.task.pk in subjects
            or parts & {part.pk for part in row.parts}
            or people & {span.person_id for span in row.spans}
        ]


_OF_TASKS = {Action.TICK, Action.UNTICK, Action.START_TIME, Action.STOP_TIME, Action.READ}
_OF_PARTS = {Action.DRAW, Action.GIVE_BACK}
_ANEW = {Action.RESERVE, Action.REPORT_EXTRA, Action.TAKE_ANSWER, Action.RELEASE}


def minutes_of(spans: Iterable[TimeSpan], now: dt.datetime) -> Decimal:
    """Return the minutes that spans last in all; what still runs lasts until now."""
    seconds = sum(((each.stopped_at or now) - each.started_at).total_seconds() for each in spans)
    return Decimal(int(seconds)) / MINUTE


def card_to_show(pk: int) -> JobCard:
    """Return a card with its bike and people, or answer 404."""
    rows = JobCard.objects.select_related("bike", "opened_by", "released_by", "inspection")
    return get_object_or_404(rows, pk=pk)


def card_page(card: JobCard, person: User) -> CardPage:
    """Return all that a card's page shows, in a constant number of queries."""
    now = timezone.now()
    events = card.events.select_related("by").order_by("-pk")
    extras = card.extras.select_related("finding__fault__checkpoint", "by")
    rows = rows_of(tasks_of(card), person, now)
    return CardPage(
        card=card,
        rows=rows,
        declined=list(card.declined.all()),
        extras=list(extras.prefetch_related("stops")),
        events=list(events[:LATEST]),
        now=now,
        person=person,
        fits=fits_of(card.bike, (part.part_id for row in rows for part in row.parts)),
    )


def tasks_of(card: JobCard) -> QuerySet[Task]:
    """Return a card's tasks in order, with everything that their rows show."""
    readings = AfterReading.objects.select_related("measure", "by").order_by("-pk")
    parts = with_draws(TaskPart.objects.all()).order_by("part__name", "pk")
    spans = TimeSpan.objects.select_related("person").order_by("started_at", "pk")
    rows = Task.objects.filter(card=card).select_related("done_by", "extra", "card")
    return rows.prefetch_related(
        Prefetch("readings", readings), Prefetch("parts", parts), Prefetch("spans", spans)
    ).order_by("position", "pk")


def rows_of(tasks: Iterable[Task], person: User, now: dt.datetime) -> list[TaskRow]:
    """Return tasks as rows, each as deep as there are steps open round it."""
    rows, depth = [], 0
    for task in tasks:
        wanted = task.state != TaskState.DROPPED
        if wanted and task.kind == TaskKind.CLOSE:
            depth = max(0, depth - 1)
        spans = list(task.spans.all())
        rows.append(
            TaskRow(
                task=task,
                depth=min(depth, DEEPEST) if wanted else 0,
                parts=[each for each in task.parts.all() if each.wanted or each.out],
                readings=_latest(task.readings.all()),
                spans=spans,
                now=now,
                mine=any(s.person_id == person.pk and s.stopped_at is None for s in spans),
            )
        )
        if wanted and task.kind == TaskKind.OPEN:
            depth += 1
    return rows


def _latest(readings: Iterable[AfterReading]) -> list[AfterReading]:
    """Return the newest reading of each measure, and of the torque; they come newest first."""
    latest: dict[int | None, AfterReading] = {}
    for each in readings:
        latest.setdefault(each.measure_id, each)
    return list(latest.values())


def findings_for(task: Task) -> list[Finding]:
    """Return the findings that a task puts right, with where they were seen and what was read."""
    rows = task.findings.select_related(
        "fault", "check_made__checkpoint", "check_made__inspection"
    ).order_by("check_made__checkpoint__order", "pk")
    readings = Reading.objects.select_related("measure")
    return list(rows.prefetch_related(Prefetch("check_made__readings", readings)))
