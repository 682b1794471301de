"""Reading inspections: the walk with what was found, its findings, its drawing."""

from __future__ import annotations

from collections.abc import Sequence

from django.db.models import Count, Prefetch, Q, QuerySet
from django.shortcuts import get_object_or_404
from django.urls import reverse

from workshop.bikes.models import Bike
from workshop.core.drawing import Drawing, Mark
from workshop.core.judgement import Judgement
from workshop.inspections.judging import Judge
from workshop.inspections.models import (
    Check,
    Checkpoint,
    Fault,
    Finding,
    Inspection,
    JudgementRule,
    Photo,
    Reading,
)
from workshop.inspections.rules import facts_for
from workshop.inspections.walk import Step, Walk


def inspection_for_walk(pk: int) -> Inspection:
    """Return an inspection with its bike and people, or answer 404."""
    rows = Inspection.objects.select_related("bike", "started_by", "finished_by")
    return get_object_or_404(rows, pk=pk)


def latest_inspection(bike: Bike) -> Inspection | None:
    """Return the bike's newest inspection, open or finished."""
    rows = Inspection.objects.select_related("bike", "started_by", "finished_by")
    return rows.filter(bike=bike).first()


def walk_of(inspection: Inspection) -> Walk:
    """Return the walk of an inspection, in a constant number of queries.

    While it is open these are the checkpoints in use that apply to the bike, and those already
    looked at; once finished it stays as it was walked, whatever the catalogue says later.
    """
    checks = {check.checkpoint_id: check for check in _checks_of(inspection)}
    belongs = Q(pk__in=checks)
    if inspection.finished_at is None:
        belongs |= Q(active=True)
    points = [
        point
        for point in Checkpoint.objects.filter(belongs)
        if point.pk in checks or point.applies_to(inspection.bike)
    ]
    steps = (
        Step(number, point, checks.get(point.pk)) for number, point in enumerate(points, start=1)
    )
    return Walk(inspection, tuple(steps))


def _checks_of(inspection: Inspection) -> QuerySet[Check]:
    """Return the checks with people, findings, readings and the number of photos."""
    findings = Finding.objects.select_related("fault", "rule").order_by("fault__order", "pk")
    return (
        Check.objects.filter(inspection=inspection)
        .select_related("by")
        .prefetch_related(
            Prefetch("findings", findings),
            Prefetch("readings", Reading.objects.select_related("measure")),
        )
        .annotate(photo_count=Count("photos"))
        .order_by("pk")
    )


def checkpoint_to_judge(code: str) -> Checkpoint:
    """Return a checkpoint with measures, faults and the rules in force, or answer 404."""
    rules = JudgementRule.objects.filter(superseded_at__isnull=True)
    rows = Checkpoint.objects.prefetch_related(
        "measures",
        Prefetch("faults", Fault.objects.order_by("order", "pk")),
        Prefetch("rules", rules.select_related("measure", "minus", "fault")),
    )
    return get_object_or_404(rows, code=code)


def judge_for(inspection: Inspection, code: str, check: Check | None) -> Judge:
    """Return the judge of a checkpoint for the inspection's bike; faults recorded are kept."""
    kept = [each.fault.code for each in check.findings.select_related("fault")] if check else ()
    point = checkpoint_to_judge(code)
    return Judge(point, facts_for(inspection, point), kept)


def photos_of(check: Check | None) -> Sequence[Photo]:
    """Return the photos taken at a check, oldest first, with the people who took them."""
    return list(check.photos.select_related("by")) if check else ()


def findings_of(inspection: Inspection) -> QuerySet[Finding]:
    """Return what was found and is not sound, in the order of the walk.

    Each comes with fault, checkpoint, rule, and its check with readings and photos; the number of
    queries does not depend on how many there are.
    """
    return (
        Finding.objects.filter(check_made__inspection=inspection)
        .exclude(judgement=Judgement.SOUND.value)
        .select_related("fault__checkpoint", "check_made__checkpoint", "rule", "by")
        .prefetch_related(
            Prefetch("check_made__readings", Reading.objects.select_related("measure")),
            "check_made__photos",
        )
        .order_by("check_made__checkpoint__order", "fault__order", "pk")
    )


def drawing_of(walk: Walk, *, link: bool) -> Drawing:
    """Return the bike's drawing with a mark at every checkpoint that has a place on it.

    With ``link`` the marks lead to their checkpoints; on paper they don't.
    """
    bike = walk.inspection.bike
    return Drawing(
        shape=bike.frame,
        title=f"{bike.make} {bike.model}".strip() + ", drawn with its checkpoints",
        desc=_in_words(walk),
        marks=tuple(
            Mark(
                x=place[0],
                y=place[1],
                judgement=step.mark,
                label=step.checkpoint.name,
                number=step.number,
                url=url_of(walk.inspection, step) if link else "",
            )
            for step in walk.steps
            if (place := step.checkpoint.position(bike.frame))
        ),
    )


def _in_words(walk: Walk) -> str:
    """Return what the drawing shows, for those who do not see it."""
    found = [
        f"{step.checkpoint.name}: {finding.fault.name}, {finding.judged.label}"
        for step in walk.steps
        for finding in step.findings
    ]
    looked = f"{walk.done} of {walk.total} checkpoints looked at."
    return f"{looked} {'; '.join(found)}." if found else f"{looked} Nothing found so far."


def url_of(inspection: Inspection, step: Step) -> str:
    """Return the address of a step's page."""
    return reverse("inspections:checkpoint", args=(inspection.pk, step.checkpoint.code))
