"""What the page of a checkpoint shows, put together from the walk, the judge and the form."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.forms import BoundField

from workshop.inspections.forms import CheckForm
from workshop.inspections.judging import Judged, JudgedReading
from workshop.inspections.models import Check, Finding, Photo, Reading
from workshop.inspections.rules import asks_for_age
from workshop.inspections.selectors import photos_of
from workshop.inspections.walk import Step, Walk

LONG_TEXT = 320
"""Characters; more than that is folded after its first sentence, to spare a phone's screen."""

QUICK_REASONS = (
    "It is not fitted to this bike",
    "It is seized",
    "The tool for it is not at hand",
)


@dataclass(frozen=True, slots=True)
class Words:
    """A text in two pieces: what always shows, and what is folded away (may be empty)."""

    first: str
    rest: str = ""


def folded(text: str) -> Words:
    """Return a text with all but its first sentence folded away where it is long."""
    text = text.strip()
    end = text.find(". ")
    if len(text) <= LONG_TEXT or end < 0:
        return Words(text)
    return Words(text[: end + 1], text[end + 2 :])


@dataclass(frozen=True, slots=True)
class FaultRow:
    """A fault as a big button, with what the rules give for it and the way to judge otherwise."""

    judged: Judged
    chosen: bool
    judge: BoundField
    why: BoundField

    @property
    def otherwise(self) -> bool:
        """Tell whether the fields for judging otherwise are in use."""
        return bool(self.judge.value() or self.why.value() or self.why.errors or self.judge.errors)


@dataclass(frozen=True, slots=True)
class Found:
    """The part of the page that changes as readings are typed."""

    readings: Sequence[JudgedReading]
    rows: Sequence[FaultRow]


def found_in(form: CheckForm) -> Found:
    """Return what the rules say of what stands in the form, as far as it can be read."""
    judge = form.judge
    readings = judge.readings(form.readings)
    ticked = set(form["faults"].value() or ())
    rows = []
    for fault in judge.faults:
        judged = judge.fault(fault, readings)
        rows.append(
            FaultRow(
                judged=judged,
                chosen=fault.code in ticked or judged.reading is not None,
                judge=form[f"judge-{fault.code}"],
                why=form[f"why-{fault.code}"],
            )
        )
    return Found(readings, rows)


@dataclass(frozen=True, slots=True)
class Recorded:
    """A check as it stands: what the other person saved, or what a finished walk found."""

    check: Check
    findings: Sequence[Finding]
    readings: Sequence[Reading]


def recorded(check: Check) -> Recorded:
    """Return a check with its findings and readings."""
    findings = check.findings.select_related("fault").order_by("fault__order", "pk")
    readings = check.readings.select_related("measure").order_by("measure__order", "pk")
    return Recorded(check, list(findings), list(readings))


@dataclass(frozen=True, slots=True)
class CheckpointPage:
    """All that the page of a checkpoint shows."""

    walk: Walk
    step: Step
    form: CheckForm
    found: Found
    photos: Sequence[Photo]
    theirs: Recorded | None = None
    last: Step | None = None

    @property
    def previous(self) -> Step | None:
        """Return the step before this one."""
        return self.walk.before(self.step)

    @property
    def next(self) -> Step | None:
        """Return the step after this one."""
        return self.walk.after(self.step)

    @property
    def how(self) -> Words:
        """Return how to test."""
        return folded(self.step.checkpoint.how_to_test)

    @property
    def fools(self) -> Words:
        """Return what fools the test."""
        return folded(self.step.checkpoint.what_fools)

    @property
    def caution(self) -> Words:
        """Return the caution."""
        return folded(self.step.checkpoint.caution)

    @property
    def age_matters_unknown(self) -> bool:
        """Tell whether a rule here asks for an age that is not known."""
        bike = self.walk.inspection.bike
        return bike.maker_year is None and asks_for_age(self.form.judge.checkpoint)

    @property
    def quick_reasons(self) -> tuple[str, ...]:
        """Return the reasons for not testing that take one tap."""
        return QUICK_REASONS


def page_of(
    walk: Walk,
    step: Step,
    form: CheckForm,
    *,
    theirs: Check | None = None,
    last: str = "",
) -> CheckpointPage:
    """Return the page of a step; ``last`` is the code of the checkpoint saved just before."""
    return CheckpointPage(
        walk=walk,
        step=step,
        form=form,
        found=found_in(form),
        photos=photos_of(step.check),
        theirs=recorded(theirs) if theirs else None,
        last=walk.step(last) if last else None,
    )
