"""Enters a card that was filled in by pen: ticks, minutes, readings and parts, all or nothing."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal

from django.db import transaction
from django.utils import timezone

from workshop.core.cardstates import Action, CardStateError
from workshop.core.pentimes import Laid, OverlapError, Written, lay_out, refuse_overlaps
from workshop.jobcards.errors import JobCardError
from workshop.jobcards.holding import done, held, seen_before
from workshop.jobcards.models import JobCard, Task, TaskPart, TimeSpan
from workshop.jobcards.verbs.parts import draw_part
from workshop.jobcards.verbs.read import note_readings
from workshop.jobcards.verbs.tick import tick
from workshop.people.models import User

ZERO = Decimal(0)


@dataclass(frozen=True, slots=True)
class PenPart:
    """A part that was fitted, by its row on the card."""

    row: int
    quantity: Decimal
    serial: str = ""
    fit_reason: str = ""


@dataclass(frozen=True, slots=True)
class PenTask:
    """What was written beside a task; ``version`` is the one that whoever enters it saw."""

    task: int
    version: int
    by: User
    is_done: bool
    minutes: Decimal = ZERO
    done_at: dt.datetime | None = None
    torque: Decimal | None = None
    values: Mapping[str, Decimal] = field(default_factory=dict)
    parts: Sequence[PenPart] = ()


class PenError(JobCardError):
    """Raised where something written can't be; ``rows`` are the words by task (pk)."""

    def __init__(self, rows: Mapping[int, str]) -> None:
        self.rows = rows
        super().__init__("Nothing was entered. Put right what stands at the tasks below.")


@transaction.atomic
def enter_pen(
    card: JobCard, rows: Sequence[PenTask], *, end: dt.datetime, by: User, key: str
) -> JobCard:
    """Return the card with everything that was written on its paper.

    Each row is entered as done by whom it names, in the order of the card: parts first, then
    readings, then the tick; that ``by`` entered it is kept as well. ``end`` is when the last work
    without a time of its own ended. The same ``key`` again enters nothing.

    Raises:
        PenError: something can't be; all that is wrong is told at once, and nothing is kept.
        CardStateError: the bike has been released.
        KeyClashError: the key was used for something else.
    """
    locked = held(card.pk)
    if seen_before(locked, key, Action.ENTER):
        return locked
    words = f"entered from paper: {len(rows)} task{'s' if len(rows) != 1 else ''}"
    done(locked, Action.ENTER, key=key, by=by, words=words)
    tasks = {each.pk: each for each in locked.tasks.select_related("card")}
    ordered = sorted(rows, key=lambda each: tasks[each.task].position)
    laid, wrong = _laid(locked, ordered, end)
    for row in ordered:
        if row.task in wrong:
            continue
        try:
            with transaction.atomic():
                _enter(tasks[row.task], row, laid[row.task], key)
        except (JobCardError, CardStateError) as error:
            wrong[row.task] = str(error)
    if wrong:
        raise PenError(wrong)
    locked.refresh_from_db()
    return locked


def _laid(
    card: JobCard, rows: Sequence[PenTask], end: dt.datetime
) -> tuple[Mapping[int, Laid], dict[int, str]]:
    """Return the span of each row, and what is wrong with the times."""
    written = [Written(each.task, each.by.pk, each.minutes, each.done_at) for each in rows]
    laid = lay_out(written, end=end)
    opened = card.opened_at.replace(second=0, microsecond=0)
    wrong = {}
    for each in laid.values():
        if each.ended > timezone.now():
            wrong[each.row] = "That lies ahead. Write when it was done."
        elif each.began < opened:
            wrong[each.row] = (
                f"The card was opened at {_at(opened)}: this would have begun at "
                f"{_at(each.began)}. Write when it was done, and the minutes."
            )
    try:
        refuse_overlaps(laid.values(), _known(laid.values()))
    except OverlapError as error:
        wrong.setdefault(
            error.row,
            f"They worked on something else from {_at(error.began)} to {_at(error.ended)}: "
            "nobody works on two things at once.",
        )
    return laid, wrong


def _known(laid: Collection[Laid]) -> list[Laid]:
    """Return the times that are known already of the people who worked."""
    if not laid:
        return []
    since = min(each.began for each in laid)
    rows = TimeSpan.objects.filter(person__in={each.person for each in laid})
    now = timezone.now()
    return [
        Laid(0, row.person_id, row.started_at, row.stopped_at or now)
        for row in rows.exclude(stopped_at__lte=since)
    ]


def _at(moment: dt.datetime) -> str:
    """Return a moment as people say it here."""
    return f"{timezone.localtime(moment):%d.%m. %H:%M}"


def _enter(task: Task, row: PenTask, span: Laid, key: str) -> None:
    """Enter what stands beside one task."""
    for part in row.parts:
        draw_part(
            TaskPart.objects.select_related("task").get(pk=part.row, task=task),
            quantity=part.quantity,
            by=row.by,
            key=f"{key}:part:{part.row}",
            serial=part.serial,
            fit_reason=part.fit_reason,
        )
    if row.torque is not None or row.values:
        note_readings(
            task, by=row.by, key=f"{key}:read:{task.pk}", torque=row.torque, values=row.values
        )
    if span.ended > span.began:
        words = f"worked {row.minutes.normalize():f} min: {task.name}"
        card = held(task.card_id)
        done(
            card,
            Action.START_TIME,
            key=f"{key}:time:{task.pk}",
            by=row.by,
            words=words,
            subject=task.pk,
        )
        TimeSpan.objects.create(
            task=task, person=row.by, started_at=span.began, stopped_at=span.ended
        )
    if row.is_done:
        tick(task, by=row.by, key=f"{key}:tick:{task.pk}", base_version=row.version)
        Task.objects.filter(pk=task.pk).update(done_at=span.ended)
