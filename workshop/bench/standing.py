"""What is left to do on open cards, and what stops them, as the promise reckons with it."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from django.db.models import F, QuerySet, TextChoices
from django.utils import timezone

from inventory.core import workdays
from workshop.bench.awaited import Awaited, Need, Supply, together
from workshop.bench.models import BenchSettings
from workshop.core.cardstates import CardState
from workshop.core.promise import Work
from workshop.jobcards.models import (
    ExtraState,
    ExtraWork,
    JobCard,
    Task,
    TaskKind,
    TaskPart,
    TaskState,
    TimeSpan,
)
from workshop.shop.models import Shop

UNDONE = (TaskState.TO_DO, TaskState.STOPPED)
ANSWER = "the customer’s answer to extra work"


class Stop(TextChoices):
    """What stops a card, or that nothing does."""

    ON_BENCH = "on_bench", "on the bench"
    GOES_ON = "goes_on", "can go on"
    PERSON = "person", "waits for a person"
    PARTS = "parts", "waits for parts"
    CUSTOMER = "customer", "waits for the customer"
    CHECK = "check", "to be checked"


@dataclass(frozen=True, slots=True)
class Standing:
    """An open card: what is left to do, what stops it apart from people, who is at it now."""

    card: JobCard
    work: Work
    stop: Stop
    waits: tuple[Awaited, ...]
    people: tuple[str, ...] = ()


@dataclass(slots=True)
class _Left:
    """What is left of a card's tasks, in standard minutes, as it is added up."""

    free: float = 0
    opening: float = 0
    closing: float = 0
    goes_on: bool = False


def open_cards() -> QuerySet[JobCard]:
    """Return the open cards in the order of the queue: by promise, those without one last."""
    rows = JobCard.objects.exclude(state=CardState.RELEASED.value)
    ordered = rows.order_by(F("promised_on").asc(nulls_last=True), "pk")
    return ordered.select_related("bike")


def standings(
    shop: Shop, chosen: BenchSettings, today: dt.date, extra: Iterable[Need] = ()
) -> tuple[list[Standing], Supply]:
    """Return the open cards as they stand, in the order of the queue, in a constant number.

    Parts are handed out in that order; what is left of them is returned too. ``extra`` are needs
    of something that comes behind.
    """
    cards = list(open_cards())
    keys = [each.pk for each in cards]
    needs = needs_of(keys)
    parts = {need.part for rows in needs.values() for _, need in rows}
    keys_of_parts = parts | {each.part for each in extra}
    supply = Supply(keys_of_parts, today, shop.usual_lead_days, float(chosen.share))
    tasks, asked, people = tasks_of(keys), asked_of(keys), people_at(keys)
    found = []
    for card in cards:
        awaited: dict[int, list[Awaited]] = {}
        for task, need in needs[card.pk]:
            awaits = supply.meet(need)
            if awaits is not None:
                awaited.setdefault(task, []).append(awaits)
        answer = None
        if card.pk in asked:
            day = workdays.after(timezone.localdate(asked[card.pk]), chosen.answer_days)
            answer = Awaited(max(day, today), ANSWER)
        found.append(
            _standing(card, tasks[card.pk], awaited, answer, chosen, tuple(people[card.pk]))
        )
    return found, supply


def tasks_of(cards: Sequence[int]) -> Mapping[int, list[Task]]:
    """Return the undone tasks of each card."""
    by_card: dict[int, list[Task]] = defaultdict(list)
    rows = Task.objects.filter(card__in=cards, state__in=UNDONE).order_by("card_id", "position")
    for task in rows.only("card_id", "kind", "state", "minutes"):
        by_card[task.card_id].append(task)
    return by_card


def needs_of(cards: Sequence[int]) -> Mapping[int, list[tuple[int, Need]]]:
    """Return what each card's undone tasks are short of, with the task's id."""
    by_card: dict[int, list[tuple[int, Need]]] = defaultdict(list)
    rows = TaskPart.objects.filter(task__card__in=cards, task__state__in=UNDONE)
    for row in rows.select_related("task", "part", "reservation").order_by("task_id", "pk"):
        if row.short:
            need = Need(row.task.code, row.part_id, row.part.name, row.short)
            by_card[row.task.card_id].append((row.task_id, need))
    return by_card


def asked_of(cards: Sequence[int]) -> Mapping[int, dt.datetime]:
    """Return since when each card's customer is asked about extra work, of those asked."""
    rows = ExtraWork.objects.filter(card__in=cards, state=ExtraState.WAITING).order_by("-pk")
    return dict(rows.values_list("card_id", "at"))


def people_at(cards: Sequence[int]) -> Mapping[int, list[str]]:
    """Return who is at work on each card now."""
    by_card: dict[int, list[str]] = defaultdict(list)
    rows = TimeSpan.objects.filter(task__card__in=cards, stopped_at__isnull=True)
    for span in rows.select_related("person", "task"):
        by_card[span.task.card_id].append(str(span.person))
    return by_card


def _standing(
    card: JobCard,
    tasks: Iterable[Task],
    awaited: Mapping[int, Sequence[Awaited]],
    answer: Awaited | None,
    chosen: BenchSettings,
    people: tuple[str, ...],
) -> Standing:
    """Return a card as it stands."""
    left = _Left()
    waiting: dict[Awaited, float] = defaultdict(float)
    for task in tasks:
        minutes = float(task.minutes)
        if task.kind == TaskKind.CLOSE:
            left.closing += minutes
            continue
        waits = [*awaited.get(task.pk, ())]
        if task.state == TaskState.STOPPED and answer is not None:
            waits.append(answer)
        if waits:
            waiting[together(waits)] += minutes
        elif task.kind == TaskKind.OPEN:
            left.opening += minutes
        else:
            left.goes_on = True
            left.free += minutes
    work = _work(card.number, left, waiting, float(chosen.check_minutes))
    waits = sorted(waiting, key=lambda each: each.until)
    return Standing(card, work, _stop(card, left, waits, answer, people), tuple(waits), people)


def _work(key: str, left: _Left, waiting: Mapping[Awaited, float], check: float) -> Work:
    """Return what is left as the promise takes it.

    Nothing is opened up before something behind it can go on.
    """
    held = [each.held(minutes) for each, minutes in waiting.items()]
    held.sort(key=lambda each: each.until)
    opening = left.opening
    if held and not left.goes_on:
        first, *rest = held
        held = [replace(first, minutes=first.minutes + opening), *rest]
        opening = 0
    return Work(key, left.free + opening, tuple(held), left.closing + check)


def _stop(
    card: JobCard,
    left: _Left,
    waits: Sequence[Awaited],
    answer: Awaited | None,
    people: Sequence[str],
) -> Stop:
    """Return what stops a card as a whole: nothing, as long as any task can go on."""
    if people:
        return Stop.ON_BENCH
    if card.stands is CardState.CHECKING:
        return Stop.CHECK
    if left.goes_on or not waits:
        return Stop.GOES_ON
    if any(answer is None or each.words != answer.words for each in waits):
        return Stop.PARTS
    return Stop.CUSTOMER
