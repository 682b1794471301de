"""Lays the tasks of a card out in the order of work, round what is done and open already."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from decimal import ROUND_HALF_UP, Decimal

from workshop.core.access import AccessStep as CoreStep
from workshop.core.access import Operation as CoreOperation
from workshop.core.ordering import Act, ActKind, order_of
from workshop.jobcards.asked import TaskAsked, WorkAsked
from workshop.jobcards.models import JobCard, Task, TaskKind, TaskState
from workshop.labour.models import AccessStep, Operation
from workshop.labour.selectors import access_steps, core_operation

HUNDREDTH = Decimal("0.01")
TO_DO = (TaskState.TO_DO, TaskState.STOPPED)
NAMES = {TaskKind.OPEN: "Open up: {}", TaskKind.CLOSE: "Close again: {}"}


@dataclass(slots=True)
class Book:
    """The catalogue's operations and steps, as rows and as the core knows them."""

    operations: Mapping[str, Operation]
    steps: Mapping[str, AccessStep]
    core_steps: Mapping[str, CoreStep] = field(default_factory=access_steps)

    @classmethod
    def of(cls, tasks: Iterable[TaskAsked]) -> Book:
        """Return the book with the operations of these tasks, in a constant number of queries."""
        codes = [each.code for each in tasks if each.is_operation]
        rows = Operation.objects.filter(code__in=codes).select_related("band")
        operations = {row.code: row for row in rows.prefetch_related("access", "covers")}
        return cls(operations, {row.code: row for row in AccessStep.objects.all()})

    def core(self, task: TaskAsked) -> CoreOperation:
        """Return a task as the core orders it; one that is no operation needs no access."""
        row = self.operations.get(task.code) if task.is_operation else None
        if row is None:
            return CoreOperation(task.code, task.name, task.minutes, "")
        return core_operation(row)


def lay_out(card: JobCard, work: WorkAsked) -> None:
    """Bring the card's tasks in step with the work asked for, inside the caller's transaction.

    What is done stays as it is and stands first. What is no longer wanted is dropped. The rest
    is ordered anew round the steps that stand open: none is opened a second time unless it was
    closed before the new work came. Raises ``AccessError`` and ``OrderError`` as the core does.
    """
    book = Book.of(work.tasks)
    rows = list(card.tasks.order_by("position", "pk"))
    kept = {row.code: row for row in rows if row.kind == TaskKind.WORK}
    wanted = {each.code: each for each in work.tasks}
    for code, asked in wanted.items():
        kept[code] = _work_row(card, work, asked, kept.get(code), book)
    finished = [row for row in rows if row.is_done]
    _drop([row for code, row in kept.items() if code not in wanted and not row.is_done])
    left = [each for each in work.tasks if not kept[each.code].is_done]
    acts = order_of(
        [book.core(each) for each in left],
        book.core_steps,
        after=work.after,
        opened=_standing_open(finished),
    )
    _place(card, work, acts, rows, kept, book, first=len(finished) + 1)
    for position, row in enumerate(finished, start=1):
        Task.objects.filter(pk=row.pk).update(position=position)


def _standing_open(finished: Iterable[Task]) -> list[str]:
    """Return the codes of steps that were opened and not closed since, in that order."""
    opened: list[str] = []
    for row in sorted(finished, key=lambda each: (each.done_at, each.position)):
        if row.kind == TaskKind.OPEN and row.code not in opened:
            opened.append(row.code)
        elif row.kind == TaskKind.CLOSE and row.code in opened:
            opened.remove(row.code)
    return opened


def _work_row(
    card: JobCard, work: WorkAsked, asked: TaskAsked, row: Task | None, book: Book
) -> Task:
    """Return the row of a task that is wanted, to do again where it had been dropped."""
    operation = book.operations.get(asked.code) if asked.is_operation else None
    if row is None:
        row = Task(card=card, position=0, kind=TaskKind.WORK, code=asked.code, operation=operation)
        row.revision_number = work.revision_number
    if row.is_done:
        row.findings.add(*asked.findings)
        return row
    row.name, row.minutes = asked.name, asked.minutes
    if operation is not None:
        row.torque_low_nm, row.torque_high_nm = operation.torque_low_nm, operation.torque_high_nm
        row.torque_source, row.caution = operation.torque_source, operation.caution
    if row.state == TaskState.DROPPED:
        row.state, row.version = TaskState.TO_DO, row.version + 1
    row.save()
    row.findings.set(asked.findings)
    return row


def _drop(rows: Iterable[Task]) -> None:
    """Mark tasks as no longer wanted."""
    for row in rows:
        if row.state != TaskState.DROPPED:
            row.state, row.extra, row.version = TaskState.DROPPED, None, row.version + 1
            row.save(update_fields=["state", "extra", "version"])


def _place(
    card: JobCard,
    work: WorkAsked,
    acts: Iterable[Act],
    rows: Iterable[Task],
    kept: Mapping[str, Task],
    book: Book,
    *,
    first: int,
) -> None:
    """Give each act its row and its place; access rows that are no longer needed go."""
    access = {
        (row.kind, row.code): row for row in rows if row.kind != TaskKind.WORK and not row.is_done
    }
    position = first
    for position, act in enumerate(acts, start=first):
        kind = TaskKind(act.kind.value)
        row = kept.get(act.code) if act.kind is ActKind.WORK else access.pop((kind, act.code), None)
        row = row or _access_row(card, work, act, book)
        row.position = position
        row.save()
    for row in access.values():
        row.delete()
    dropped = card.tasks.filter(state=TaskState.DROPPED).order_by("position", "pk")
    for behind, row in enumerate(dropped, start=position + 1):
        Task.objects.filter(pk=row.pk).update(position=behind)


def _access_row(card: JobCard, work: WorkAsked, act: Act, book: Book) -> Task:
    """Return a new row for an access step: half of its minutes to open, the rest to close."""
    kind, step = TaskKind(act.kind.value), book.steps[act.code]
    whole = work.step_minutes.get(act.code, step.minutes)
    half = (whole / 2).quantize(HUNDREDTH, ROUND_HALF_UP)
    return Task(
        card=card,
        kind=kind,
        code=act.code,
        name=NAMES[kind].format(step.name)[:200],
        step=step,
        minutes=half if kind == TaskKind.OPEN else whole - half,
        revision_number=work.revision_number,
    )
