"""What the bench must know of an answered revision: tasks, parts, what was declined."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from itertools import pairwise

from inventory.core.money import ZERO
from quotes.acceptance.models import Acceptance
from quotes.acceptance.selectors import DECIDABLE, decisions_of, lines_of
from quotes.core.lines import Kind
from quotes.quoting.models import Line, QuotedFinding
from workshop.core.judgement import Importance, Judgement
from workshop.jobcards.asked import DeclinedAsked, PartAsked, TaskAsked, WorkAsked
from workshop.labour.models import RemedyOperation

HAND_OVER = "hand-over"
"""The task of parts that are wanted without the work of fitting them."""


def work_of(acceptance: Acceptance) -> WorkAsked:
    """Return the work that was accepted, and what was declined, as plain data."""
    revision = acceptance.revision
    lines = [line for line in lines_of(revision) if not line.left_out]
    decided = decisions_of(acceptance)
    yes = [line for line in lines if decided.get(line.pk)]
    no = [line for line in lines if line.kind in DECIDABLE and not decided.get(line.pk)]
    tasks = _tasks(yes)
    parts = _parts(yes, {task.code for task in tasks})
    if any(part.task == HAND_OVER for part in parts):
        tasks.append(TaskAsked(HAND_OVER, "Hand the parts over", ZERO, is_operation=False))
    rows = QuotedFinding.objects.filter(revision=revision)
    return WorkAsked(
        quote_number=revision.quote.number,
        revision_number=revision.number,
        revision_key=revision.pk,
        tasks=tuple(tasks),
        parts=tuple(parts),
        declined=tuple(_declined(no, yes)),
        step_minutes={
            line.key.partition(":")[2]: line.quantity for line in yes if line.kind == Kind.ACCESS
        },
        after=_after(tasks, rows),
        findings=frozenset(rows.values_list("finding", flat=True)),
    )


def _tasks(yes: Iterable[Line]) -> list[TaskAsked]:
    """Return the tasks of accepted labour and of accepted lines by hand; a discount is none."""
    tasks = []
    for line in yes:
        if line.kind == Kind.LABOUR:
            code, minutes = line.key.partition(":")[2], line.quantity
        elif line.kind == Kind.HAND and line.net >= ZERO:
            code, minutes = line.key, ZERO
        else:
            continue
        operation = line.kind == Kind.LABOUR
        tasks.append(TaskAsked(code, line.description, minutes, _findings(line), operation))
    return tasks


def _parts(yes: Iterable[Line], tasks: set[str]) -> list[PartAsked]:
    """Return the parts accepted; those whose work is not wanted are handed over."""
    return [
        PartAsked(_fitted_by(line) if _fitted_by(line) in tasks else HAND_OVER, part, line.quantity)
        for line in yes
        if line.kind == Kind.PART and (part := line.part_id) is not None
    ]


def _fitted_by(line: Line) -> str:
    """Return the code of the operation that fits a part: ``part:<operation>:<part>``."""
    return line.key.split(":")[1]


def _declined(no: Sequence[Line], yes: Sequence[Line]) -> list[DeclinedAsked]:
    """Return what is declined: work, and parts whose work is wanted without them."""
    wanted = {line.key.partition(":")[2] for line in yes if line.kind == Kind.LABOUR}
    return [
        _declined_line(line)
        for line in no
        if (line.kind == Kind.PART and _fitted_by(line) in wanted)
        or line.kind == Kind.LABOUR
        or (line.kind == Kind.HAND and line.net >= ZERO)
    ]


def _declined_line(line: Line) -> DeclinedAsked:
    """Return a line that is declined, with what its findings say."""
    rows = list(line.findings.all())
    worst = max((Judgement(row.judgement) for row in rows), key=lambda j: j.rank, default=None)
    return DeclinedAsked(
        title=line.description,
        importance=Importance(line.importance),
        place="; ".join(f"{row.checkpoint_name}: {row.title}" for row in rows),
        words=" ".join(dict.fromkeys(row.words for row in rows)),
        judgement=worst,
        findings=_findings(line),
    )


def _findings(line: Line) -> tuple[int, ...]:
    """Return the findings (pks of the inspection's) that a line is for."""
    return tuple(row.finding_id for row in line.findings.all())


def _after(
    tasks: Sequence[TaskAsked], rows: Iterable[QuotedFinding]
) -> Mapping[str, tuple[str, ...]]:
    """Return which task waits for which: the order within each remedy.

    Where two remedies have the same operations in another order, the order of the quote holds,
    so that nothing ever waits in a ring.
    """
    place = {task.code: number for number, task in enumerate(tasks)}
    remedies = {row.remedy_id for row in rows if row.remedy_id}
    steps = RemedyOperation.objects.filter(remedy__in=remedies).order_by("remedy_id", "order", "pk")
    by_remedy: dict[int, list[str]] = {}
    for remedy, code in steps.values_list("remedy_id", "operation__code"):
        if code in place:
            by_remedy.setdefault(remedy, []).append(code)
    after: dict[str, tuple[str, ...]] = {}
    for codes in by_remedy.values():
        for before, later in pairwise(codes):
            if place[before] < place[later]:
                after[later] = (*after.get(later, ()), before)
    return after
