"""Sets the parts of a card aside, as far as they are there, and frees what is not wanted."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal

from django.db.models import QuerySet

from inventory.stock.booking import lock
from inventory.stock.verbs.release import release
from inventory.stock.verbs.reserve import reserve
from workshop.jobcards.asked import PartAsked
from workshop.jobcards.models import JobCard, Task, TaskKind, TaskPart, TaskState
from workshop.people.models import User

WANTING = (TaskState.TO_DO, TaskState.STOPPED)


def set_wanted(card: JobCard, parts: Iterable[PartAsked]) -> None:
    """Bring what the card's tasks want in step with the parts asked for."""
    tasks = {row.code: row for row in card.tasks.filter(kind=TaskKind.WORK)}
    asked = {(tasks[each.task].pk, each.part): each for each in parts if each.task in tasks}
    there = {(row.task_id, row.part_id): row for row in rows_of(card)}
    for key, each in asked.items():
        row = there.get(key) or TaskPart(task=tasks[each.task], part_id=each.part)
        row.wanted = max(each.quantity, row.out)
        row.save()
    for key, row in there.items():
        if key not in asked:
            row.wanted = row.out
            row.save(update_fields=["wanted"])


def set_aside(card: JobCard, by: User, *, parts: Iterable[int] | None = None) -> None:
    """Reserve what the card's tasks wait for, as far as it is there; free what they do not.

    Parts, all or only these, are taken in the order of their keys, so that two cards never wait
    for each other.
    """
    rows = rows_of(card) if parts is None else rows_of(card).filter(part__in=list(parts))
    for row in rows.order_by("part_id", "pk"):
        due = row.to_draw if row.task.state in WANTING else Decimal(0)
        if due != row.reserved:
            _reserve_anew(card, row, due, by)


def free_all(card: JobCard) -> None:
    """Free whatever is still set aside for a card."""
    for row in rows_of(card).filter(reservation__left__gt=0).order_by("part_id", "pk"):
        if row.reservation:
            release(row.reservation)


def rows_of(card: JobCard) -> QuerySet[TaskPart]:
    """Return the parts of a card's tasks, with part, task and reservation."""
    rows = TaskPart.objects.filter(task__card=card)
    return rows.select_related("part", "task__card__bike", "reservation")


def _reserve_anew(card: JobCard, row: TaskPart, due: Decimal, by: User) -> None:
    """Let go of what is reserved for a row and reserve what it waits for, as far as it is free."""
    level = lock(row.part)
    if min(due, level.available + row.reserved) == row.reserved:
        return
    if row.reservation and row.reservation.left:
        release(row.reservation)
        level.refresh_from_db()
    quantity = min(due, level.available)
    if quantity > 0:
        row.reservation = reserve(
            row.part,
            quantity=quantity,
            reference=reference_of(row.task),
            by=by,
            key=f"jobcard:{card.number}:{row.pk}:{row.reservation_id or 0}",
        )
        row.save(update_fields=["reservation"])


def reference_of(task: Task) -> str:
    """Return what stock movements for a task say they are for."""
    return f"{task.card.number} {task.card.bike.stock_no}: {task.name}"[:120]
