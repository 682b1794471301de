"""Reading where extra work may be found on a bike, and which faults are new there."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from django.http import Http404

from workshop.core.judgement import Judgement
from workshop.inspections.judging import Judge
from workshop.inspections.models import Checkpoint, Fault, Finding, Zone
from workshop.inspections.rules import facts_for
from workshop.inspections.selectors import checkpoint_to_judge, latest_inspection
from workshop.jobcards.models import JobCard, Task, TaskKind, TaskState


@dataclass(frozen=True, slots=True)
class Stretch:
    """A part of the bike with its checkpoints."""

    zone: Zone
    points: tuple[Checkpoint, ...]


def places_of(card: JobCard) -> list[Stretch]:
    """Return the bike's checkpoints in the order of the walk, by their part of the bike."""
    points = [each for each in Checkpoint.objects.filter(active=True) if each.applies_to(card.bike)]
    zones = dict.fromkeys(each.zone for each in points)
    return [
        Stretch(Zone(zone), tuple(each for each in points if each.zone == zone)) for zone in zones
    ]


def point_of(card: JobCard, code: str) -> Checkpoint:
    """Return a checkpoint of the bike with its faults and rules, or answer 404."""
    point = checkpoint_to_judge(code)
    if not point.applies_to(card.bike):
        raise Http404("This checkpoint does not belong to the walk round this bike.")
    return point


def new_faults(card: JobCard, point: Checkpoint) -> list[Fault]:
    """Return the faults of a checkpoint that do not stand in the bike's inspection already."""
    inspection = latest_inspection(card.bike) or card.inspection
    found = Finding.objects.filter(check_made__inspection=inspection, fault__checkpoint=point)
    known = set(found.exclude(judgement=Judgement.SOUND.value).values_list("fault", flat=True))
    faults = Judge(point, facts_for(inspection, point)).faults
    return [fault for fault in faults if fault.active and fault.pk not in known]


def tasks_to_stop(card: JobCard) -> list[Task]:
    """Return the tasks that extra work can stop, in order: work, and what would be closed."""
    rows = card.tasks.filter(state=TaskState.TO_DO).exclude(kind=TaskKind.OPEN)
    return list(rows.order_by("position", "pk"))


def touched_by(point: Checkpoint, tasks: Iterable[Task]) -> set[int]:
    """Return those of the tasks (pks) that put something right at the same checkpoint."""
    rows = Task.objects.filter(pk__in=[task.pk for task in tasks])
    return set(rows.filter(findings__check_made__checkpoint=point).values_list("pk", flat=True))
