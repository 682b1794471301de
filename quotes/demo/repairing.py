"""Takes an accepted demo bike through the workshop: job card, work, readings, check, release."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager, suppress
from datetime import timedelta
from decimal import Decimal
from itertools import count
from unittest import mock

from django.utils import timezone

from inventory.stock.models import StockLevel
from quotes.acceptance.verbs.open_card import open_card_for
from quotes.demo.rows import BikeRow
from quotes.quoting.models import Revision
from workshop.bikes.models import Bike
from workshop.inspections.models import Inspection
from workshop.jobcards.afterwards import measures_of
from workshop.jobcards.models import JobCard, Task, TaskKind, TaskPart, TaskState
from workshop.jobcards.signing import items_for
from workshop.jobcards.verbs.open_check import open_check
from workshop.jobcards.verbs.parts import PartError, draw_part
from workshop.jobcards.verbs.read import note_readings
from workshop.jobcards.verbs.release import release_bike
from workshop.jobcards.verbs.sign import sign
from workshop.jobcards.verbs.tick import tick
from workshop.jobcards.verbs.times import start_time
from workshop.people.models import User

PACE = (Decimal("0.8"), Decimal("1.1"), Decimal("0.95"), Decimal("1.4"))
"""Actual minutes to a standard minute, task by task."""
NEXT_CHECK = timedelta(days=182)
READY_IN = timedelta(days=4)
FIT_REASON = "what it goes with is changed too"
"""Kept only of a part that does not fit by the bike's sizes."""


def repair(row: BikeRow, inspection: Inspection, desk: User, hand: User, checker: User) -> JobCard:
    """Open the card, do all of its work, have somebody else check it, and let the bike go."""
    revision = Revision.objects.get(quote__inspection=inspection)
    today = timezone.localdate()
    card = open_card_for(revision, by=desk, promised_on=today + READY_IN)
    after = {code: Decimal(value) for code, _, value in (each.partition("=") for each in row.after)}
    gone = Decimal(60)
    for number, task in enumerate(card.tasks.filter(state=TaskState.TO_DO)):
        minutes = task.minutes * PACE[number % len(PACE)]
        work_on(task, hand, after, begun=gone, minutes=minutes)
        gone += minutes
    with later(gone + 30):
        card.refresh_from_db()
        for item in items_for(card.bike):
            sign(card, item, by=checker, key=f"demo-sign-{item.code}")
        return release_bike(
            card,
            by=checker,
            key="demo-release",
            next_check_on=today + NEXT_CHECK,
            told_declined=True,
        )


def look_over(bike: Bike, desk: User, checker: User, *, half: bool) -> JobCard:
    """Open a card for the release check alone; sign half of it, or all of it and let it go."""
    card = open_check(bike, by=desk)
    items = list(items_for(bike))
    with later(Decimal(30)):
        for item in items[: len(items) // 2] if half else items:
            sign(card, item, by=checker, key=f"demo-sign-{item.code}")
        return card if half else release_bike(card, by=checker, key="demo-release")


@contextmanager
def later(minutes: Decimal) -> Iterator[None]:
    """Let everything inside happen so many minutes later."""
    moment = timezone.now() + timedelta(minutes=float(minutes))
    with mock.patch.object(timezone, "now", return_value=moment):
        yield


def work_on(
    task: Task, hand: User, after: dict[str, Decimal], *, begun: Decimal, minutes: Decimal
) -> None:
    """Do one task: its time, its parts, its readings, its tick."""
    keys = (f"demo-{task.pk}-{number}" for number in count())
    with later(begun):
        start_time(task, by=hand, key=next(keys))
    with later(begun + minutes):
        for part in task.parts.select_related("part"):
            _draw(part, hand, next(keys))
        _read(task, hand, after, next(keys))
        fresh = Task.objects.get(pk=task.pk)
        tick(fresh, by=hand, key=next(keys), base_version=fresh.version)


def _draw(row: TaskPart, hand: User, key: str) -> None:
    """Draw what the task wants, as far as there is any; what was not there that day is left."""
    level = StockLevel.objects.filter(part=row.part).first()
    there = level.available + row.reserved if level else Decimal(0)
    quantity = min(row.may_draw, there)
    if quantity > 0:
        serial = f"batch 26-{row.part.pk:03}" if row.part.safety_critical else ""
        with suppress(PartError):
            draw_part(
                row, quantity=quantity, by=hand, key=key, serial=serial, fit_reason=FIT_REASON
            )


def _read(task: Task, hand: User, after: dict[str, Decimal], key: str) -> None:
    """Note the torque, in the middle of its figure, and what is measured after the work."""
    if task.kind != TaskKind.WORK:
        return
    ends = [each for each in task.figure if each is not None]
    torque = (sum(ends, Decimal(0)) / len(ends)).quantize(Decimal("0.1")) if ends else None
    codes = {measure.code for measure in measures_of(task)}
    values = {code: value for code, value in after.items() if code in codes}
    if torque is not None or values:
        note_readings(task, by=hand, key=key, torque=torque, values=values)
