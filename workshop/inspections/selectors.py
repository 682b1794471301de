"""Reading inspections: the walk with what was found, its findings, its drawing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.db.models import Count, Prefetch, Q, QuerySet
from django.shortcuts import get_object_or_404
from django.urls import reverse

from workshop.bikes.models import Bike
from workshop.core.drawing import Drawing, Mark
from workshop.core.judgement import Judgement, worst
from workshop.core.shapes import NOT_LOOKED_AT, NOT_TESTED
from workshop.inspections.judging import Judge
from workshop.inspections.models import (
    Check,
    Checkpoint,
    Fault,
    Finding,
    Inspection,
    JudgementRule,
    Outcome,
    Photo,
    Reading,
    Zone,
)
from workshop.inspections.rules import facts_for
from workshop.people.models import User


@dataclass(frozen=True, slots=True)
class Step:
    """A place in the walk: its checkpoint, and the check made there or None."""

    number: int
    checkpoint: Checkpoint
    check: Check | None

    @property
    def done(self) -> bool:
        """Tell whether somebody has looked here, or said why it could not be tested."""
        return self.check is not None

    @property
    def findings(self) -> tuple[Finding, ...]:
        """Return the findings that are not sound."""
        found = self.check.findings.all() if self.check else ()
        return tuple(each for each in found if each.judged is not Judgement.SOUND)

    @property
    def mark(self) -> str:
        """Return the worst judgement, or that it was not looked at or could not be tested."""
        if self.check is None:
            return NOT_LOOKED_AT
        if self.check.outcome == Outcome.NOT_TESTED:
            return NOT_TESTED
        return worst(each.judged for each in self.findings) or Judgement.SOUND

    @property
    def deal_breakers(self) -> tuple[Finding, ...]:
        """Return the findings that end a buy-in."""
        return tuple(each for each in self.findings if each.deal_breaker)


@dataclass(frozen=True, slots=True)
class Stretch:
    """The steps of one part of the walk, in order."""

    zone: Zone
    steps: tuple[Step, ...]

    @property
    def done(self) -> int:
        """Return how many of the steps are done."""
        return sum(step.done for step in self.steps)

    @property
    def first_open(self) -> Step | None:
        """Return the first step not done yet."""
        return next((step for step in self.steps if not step.done), None)


@dataclass(frozen=True, slots=True)
class Walk:
    """An inspection's checkpoints in order, with what was found at each."""

    inspection: Inspection
    steps: tuple[Step, ...]

    @property
    def total(self) -> int:
        """Return the number of checkpoints."""
        return len(self.steps)

    @property
    def done(self) -> int:
        """Return the number of checkpoints looked at."""
        return sum(step.done for step in self.steps)

    @property
    def open_steps(self) -> tuple[Step, ...]:
        """Return the steps not done yet."""
        return tuple(step for step in self.steps if not step.done)

    @property
    def next_step(self) -> Step | None:
        """Return the first step not done yet."""
        return next(iter(self.open_steps), None)

    @property
    def stretches(self) -> tuple[Stretch, ...]:
        """Return the walk by its parts, leaving out those that this bike does not have."""
        parts = (
            Stretch(zone, tuple(step for step in self.steps if step.checkpoint.zone == zone))
            for zone in Zone
        )
        return tuple(part for part in parts if part.steps)

    @property
    def deal_breakers(self) -> tuple[Finding, ...]:
        """Return the findings that end a buy-in, in order."""
        return tuple(each for step in self.steps for each in step.deal_breakers)

    @property
    def state(self) -> str:
        """Return a word that changes with every save; equal words mean nothing new."""
        saves = sum(step.check.version for step in self.steps if step.check)
        photos = sum(getattr(step.check, "photo_count", 0) for step in self.steps)
        finished = "finished" if self.inspection.finished_at else "open"
        return f"{self.total}-{self.done}-{saves}-{photos}-{finished}"

    def step(self, code: str) -> Step | None:
        """Return the step of that checkpoint, or None where the walk does not lead there."""
        return next((step for step in self.steps if step.checkpoint.code == code), None)

    def before(self, step: Step) -> Step | None:
        """Return the step before, done or not."""
        return self.steps[step.number - 2] if step.number > 1 else None

    def after(self, step: Step) -> Step | None:
        """Return the step after, done or not."""
        return self.steps[step.number] if step.number < self.total else None

    def next_after(self, step: Step) -> Step | None:
        """Return the next step not done yet, going round once; None when all are done."""
        others = [each for each in self.open_steps if each.number != step.number]
        ahead = (each for each in others if each.number > step.number)
        return next(ahead, others[0] if others else None)

    def next_for(self, person: User) -> Step | None:
        """Return where a person goes on: after the check they made last, else at the start.

        So two people who begin at different ends each go on in their own half.
        """
        own = [step for step in self.steps if step.check and step.check.by_id == person.pk]
        if not own:
            return self.next_step
        return self.next_after(max(own, key=lambda step: (step.check.at, step.number)))  # type: ignore[union-attr] # own steps have a check


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
    return Judge(checkpoint_to_judge(code), facts_for(inspection), kept)


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
