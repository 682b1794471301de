"""The walk round a bike: its steps in order, what was found, and where a person goes on."""

from __future__ import annotations

from dataclasses import dataclass

from workshop.core.judgement import Judgement, worst
from workshop.core.shapes import NOT_LOOKED_AT, NOT_TESTED
from workshop.inspections.models import Check, Checkpoint, Finding, Inspection, Outcome, Zone
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
        newest = max((step.check.pk for step in self.steps if step.check), default=0)
        finished = "finished" if self.inspection.finished_at else "open"
        return f"{self.total}-{self.done}-{saves}-{newest}-{photos}-{finished}"

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
