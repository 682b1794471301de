"""Walks round a demo bike: records what its row says is wrong, and the rest as sound."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from quotes.demo.rows import DemoError
from workshop.bikes.models import Bike
from workshop.inspections.judging import FaultInput
from workshop.inspections.models import Check, Checkpoint, Fault, Inspection, Measure, Outcome
from workshop.inspections.verbs.finish import finish_inspection
from workshop.inspections.verbs.record import record_check
from workshop.inspections.verbs.start import start_inspection
from workshop.people.models import User


@dataclass(frozen=True, slots=True)
class WalkBook:
    """The catalogue's checkpoints in order, and where each fault and measure belongs."""

    checkpoints: tuple[Checkpoint, ...]
    place_of: dict[str, int]

    @classmethod
    def from_catalogue(cls) -> WalkBook:
        """Read the book.

        Raises:
            DemoError: no catalogue is loaded.
        """
        checkpoints = tuple(Checkpoint.objects.filter(active=True))
        if not checkpoints:
            raise DemoError("Load the catalogue first: manage.py load_catalogue")
        places = dict(Fault.objects.values_list("code", "checkpoint_id"))
        measures = Measure.objects.values_list("code", "checkpoint_id")
        places |= {f"{code}=": place for code, place in measures}
        return cls(checkpoints, places)

    def walk(self, bike: Bike, found: Iterable[str], by: User, *, half: bool) -> Inspection:
        """Inspect the bike; with ``half`` stop midway and leave the inspection open.

        Raises:
            DemoError: a fault or reading does not belong to the walk round this bike.
        """
        inspection = start_inspection(bike, by)
        asked = self._by_checkpoint(found)
        steps = [each for each in self.checkpoints if each.applies_to(bike)]
        strangers = asked.keys() - {step.pk for step in steps}
        if strangers:
            raise DemoError(f"{bike}: {[asked[pk] for pk in strangers]} is not part of its walk.")
        steps = steps[: len(steps) // 2] if half else steps
        for step in steps:
            if step.pk in asked:
                _record(inspection, step, asked[step.pk], by)
        Check.objects.bulk_create(
            Check(inspection=inspection, checkpoint=step, outcome=Outcome.SOUND, by=by)
            for step in steps
            if step.pk not in asked
        )
        return inspection if half else finish_inspection(inspection, by)

    def _by_checkpoint(self, found: Iterable[str]) -> dict[int, list[str]]:
        """Sort faults and readings by the checkpoint they belong to."""
        asked: dict[int, list[str]] = {}
        for each in found:
            code, equals, _ = each.partition("=")
            place = self.place_of.get(code + equals)
            if place is None:
                raise DemoError(f"The catalogue has no fault or measure “{code}”.")
            asked.setdefault(place, []).append(each)
        return asked


def _record(inspection: Inspection, step: Checkpoint, entries: list[str], by: User) -> None:
    """Record what was found at one checkpoint."""
    pairs = [each.partition("=") for each in entries]
    record_check(
        inspection,
        step,
        by=by,
        base_version=0,
        outcome=Outcome.FINDINGS,
        faults=[FaultInput(code) for code, equals, _ in pairs if not equals],
        readings={code: Decimal(value) for code, equals, value in pairs if equals},
    )
