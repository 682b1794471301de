"""What can be read after each task of a card, and what was read there before the repair."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from workshop.inspections.models import Measure, Reading
from workshop.jobcards.models import JobCard, Task


@dataclass(frozen=True, slots=True)
class ToRead:
    """A measure with what was read before the repair; empty where nothing was."""

    measure: Measure
    before: str


def to_read(card: JobCard) -> Mapping[int, tuple[ToRead, ...]]:
    """Return what can be read after each task, by its pk, in three queries."""
    places = Task.findings.through.objects.filter(task__card=card).values_list(
        "task_id", "finding__check_made__checkpoint_id"
    )
    points: dict[int, set[int]] = {}
    for task, point in places:
        points.setdefault(task, set()).add(point)
    wanted = set().union(*points.values()) if points else set()
    rows = Measure.objects.filter(checkpoint__in=wanted).select_related("checkpoint")
    measures = list(rows.order_by("checkpoint__order", "order", "pk"))
    before = {
        row.measure_id: str(row)
        for row in Reading.objects.filter(
            check_made__inspection=card.inspection_id, measure__in=measures
        ).select_related("measure")
    }
    return {
        task: tuple(
            ToRead(each, before.get(each.pk, "")) for each in measures if each.checkpoint_id in own
        )
        for task, own in points.items()
    }
