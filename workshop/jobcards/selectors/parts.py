"""Reading the parts of a card."""

from __future__ import annotations

from django.db.models import Prefetch, QuerySet

from inventory.parts.models import Part
from workshop.jobcards.models import Drawn, JobCard, TaskPart, TaskState


def with_draws(rows: QuerySet[TaskPart]) -> QuerySet[TaskPart]:
    """Return rows with part, task, reservation and what was drawn."""
    draws = Drawn.objects.select_related("by").order_by("pk")
    related = rows.select_related("part", "reservation", "task")
    return related.prefetch_related(Prefetch("draws", draws))


def parts_of(card: JobCard) -> list[TaskPart]:
    """Return the parts of a card in the order of the work; those that nobody wants are left out."""
    rows = with_draws(TaskPart.objects.filter(task__card=card))
    ordered = rows.order_by("task__position", "task_id", "part__name", "pk")
    return [each for each in ordered if each.wanted or each.out]


def row_to_draw(card: JobCard, part: Part) -> TaskPart | None:
    """Return where a scanned part is wanted: at the first task that waits for it, ticked or not."""
    rows = TaskPart.objects.filter(task__card=card, part=part)
    rows = rows.exclude(task__state__in=(TaskState.STOPPED, TaskState.DROPPED))
    related = rows.select_related("part", "reservation", "task__card__bike")
    ordered = list(related.order_by("task__position", "pk"))
    waiting = next((each for each in ordered if each.to_draw), None)
    return waiting or next((each for each in ordered if each.may_draw), None)
