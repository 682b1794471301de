"""Actual against standard minutes: of whole cards for promises, of operations for the catalogue."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from workshop.core.cardstates import CardState
from workshop.core.spread import Learned, Spread, learned_from, spread_of
from workshop.jobcards.models import JobCard, Task, TaskKind, TaskState, TimeSpan
from workshop.labour.models import Operation

MOST_CARDS = 100
"""Of how many cards, released last, the spread is measured: what was long ago tells less."""
FORGOTTEN = dt.timedelta(hours=10)  # common practice, no source: a clock nobody stopped
IN_PASSING = 0.1  # common practice, no source: ticked off without the clock in earnest
HUNDREDTH = 0.01


def actual_minutes(tasks: Iterable[int]) -> dict[int, float]:
    """Return the minutes spent on each task, by everybody; none for one with a forgotten clock."""
    rows = TimeSpan.objects.filter(task__in=list(tasks), stopped_at__isnull=False).order_by()
    spent: dict[int, float] = defaultdict(float)
    forgotten = set()
    for task, started, stopped in rows.values_list("task_id", "started_at", "stopped_at"):
        if stopped is None or stopped - started > FORGOTTEN:
            forgotten.add(task)
        else:
            spent[task] += (stopped - started).total_seconds() / 60
    return {task: minutes for task, minutes in spent.items() if task not in forgotten}


def card_ratios() -> list[float]:
    """Return actual over standard minutes of cards released last, in three queries.

    Only cards of which each done task with a standard time was timed count. Time on a step that
    was opened and not timed by itself stands in the tasks behind it.
    """
    cards = JobCard.objects.filter(state=CardState.RELEASED.value).order_by("-released_at", "-pk")
    keys = list(cards.values_list("pk", flat=True)[:MOST_CARDS])
    rows = Task.objects.filter(card__in=keys, state=TaskState.DONE, minutes__gt=0).order_by()
    done = list(rows.values_list("pk", "card_id", "kind", "minutes"))
    spent = actual_minutes(pk for pk, *_ in done)
    actual: dict[int, float] = defaultdict(float)
    standard: dict[int, float] = defaultdict(float)
    untimed = set()
    for pk, card, kind, minutes in done:
        actual[card] += spent.get(pk, 0)
        standard[card] += float(minutes)
        if kind == TaskKind.WORK and spent.get(pk, 0) < IN_PASSING * float(minutes):
            untimed.add(card)
    return [actual[card] / standard[card] for card in standard if card not in untimed]


def current_spread() -> Spread:
    """Return the shop's own spread, or the usual one while too few cards are timed."""
    return spread_of(card_ratios())


@dataclass(frozen=True, slots=True)
class OperationTimes:
    """An operation with what its done tasks tell."""

    operation: Operation
    learned: Learned


def operation_times() -> list[OperationTimes]:
    """Return what was learned of each operation that was timed, in four queries.

    Cases count that were done since the standard time was last changed and were quoted at it, or
    at a whole multiple of it (six spokes at two minutes each); their minutes are of one.
    """
    rows = Task.objects.filter(
        state=TaskState.DONE, kind=TaskKind.WORK, operation__isnull=False, minutes__gt=0
    ).order_by()
    done = list(rows.values_list("pk", "operation_id", "minutes", "done_at"))
    operations = Operation.objects.in_bulk({key for _, key, _, _ in done if key})
    since = last_changes(operations)
    spent = actual_minutes(pk for pk, *_ in done)
    cases: dict[int, list[float]] = defaultdict(list)
    for pk, key, quoted, done_at in done:
        standard = float(operations[key].minutes) if key else 0
        actual = spent.get(pk, 0)
        if not standard or not done_at or actual < IN_PASSING * float(quoted):
            continue
        many = float(quoted) / standard
        is_whole = round(many) >= 1 and abs(many - round(many)) < HUNDREDTH
        if is_whole and (key not in since or done_at > since[key]):
            cases[key or 0].append(actual / round(many))
    found = [
        OperationTimes(operations[key], learned_from(float(operations[key].minutes), actual))
        for key, actual in cases.items()
    ]
    return sorted(
        found, key=lambda each: (each.learned.suggested is None, each.operation.name.casefold())
    )


def last_changes(operations: Iterable[int]) -> dict[int, dt.datetime]:
    """Return when the standard time of operations was last changed, of those whose it ever was."""
    rows = Operation.history.filter(id__in=list(operations)).order_by("history_date", "history_id")
    changed: dict[int, dt.datetime] = {}
    stood: dict[int, object] = {}
    for key, minutes, at in rows.values_list("id", "minutes", "history_date"):
        if key in stood and stood[key] != minutes:
            changed[key] = at
        stood[key] = minutes
    return changed
