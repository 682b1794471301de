"""What an inspection found, in the words a quote copies, with what is proposed for it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.db.models import Prefetch

from workshop.bikes.models import Bike
from workshop.core.judgement import IMPORTANCE_OF, Judgement
from workshop.inspections.models import (
    Fault,
    Finding,
    Inspection,
    Outcome,
    Reading,
    RemedyOption,
)
from workshop.inspections.selectors import findings_of, walk_of
from workshop.labour.models import Remedy

READINGS_LENGTH = 200
NOT_LOOKED_AT = "not looked at"


@dataclass(frozen=True, slots=True)
class Found:
    """A finding that is not sound, as a quote copies it, and what is proposed for it.

    ``fault_id`` is what stays the same from inspection to inspection of one bike.
    """

    fault_id: int
    copied: dict[str, Any]
    importance: str
    remedy: Remedy | None

    @property
    def judgement(self) -> str:
        """Return the judgement."""
        return str(self.copied["judgement"])


def found_in(inspection: Inspection) -> list[Found]:
    """Return the findings of an inspection in walk order, in a constant number of queries."""
    options = RemedyOption.objects.select_related("remedy").order_by("rank", "pk")
    rows = findings_of(inspection).prefetch_related(Prefetch("fault__options", queryset=options))
    bike = inspection.bike
    return [
        Found(
            row.fault_id,
            _copy(row, place),
            _importance(row),
            proposed(row.fault, row.judgement, bike),
        )
        for place, row in enumerate(rows, start=1)
    ]


def proposed(fault: Fault, judgement: str, bike: Bike) -> Remedy | None:
    """Return the remedy of the lowest rank meant for so bad a finding on such a bike, or None."""
    for option in fault.options.all():
        remedy = option.remedy
        if remedy.active and option.suits(bike) and meant_for(option, judgement):
            return remedy
    return None


def meant_for(option: RemedyOption, judgement: str) -> bool:
    """Tell whether a remedy is meant for a finding judged so."""
    return Judgement(option.from_judgement).rank <= Judgement(judgement).rank


def not_tested_in(inspection: Inspection) -> list[dict[str, str]]:
    """Return the checkpoints that could not be tested and why, and those not looked at."""
    missing = []
    for step in walk_of(inspection).steps:
        if step.check is None:
            missing.append({"name": step.checkpoint.name, "reason": NOT_LOOKED_AT})
        elif step.check.outcome == Outcome.NOT_TESTED:
            reason = step.check.not_tested_reason
            missing.append({"name": step.checkpoint.name, "reason": reason})
    return missing


def _copy(row: Finding, place: int) -> dict[str, Any]:
    """Return the fields that a quote copies."""
    point = row.check_made.checkpoint
    return {
        "finding_id": row.pk,
        "position": place,
        "checkpoint_code": point.code,
        "checkpoint_name": point.name,
        "title": row.fault.name,
        "words": row.fault.words,
        "readings": readings_text(_of_rule(row)),
        "note": row.check_made.note,
        "judgement": row.judgement,
        "deal_breaker": row.deal_breaker,
    }


def _of_rule(row: Finding) -> list[Reading]:
    """Return the readings that led to a finding: those its rule looks at, else all."""
    readings = [each for each in row.check_made.readings.all() if not each.measure.fills]
    if row.rule is None or row.rule.measure_id is None:
        return readings
    looked_at = {row.rule.measure_id, row.rule.minus_id}
    return [reading for reading in readings if reading.measure_id in looked_at]


def readings_text(readings: Iterable[Reading]) -> str:
    """Return readings as text: “length over 24 pitches: 307.4 mm; …”."""
    parts = [
        f"{reading.measure.name}: {reading.value:.{reading.measure.decimals}f} "
        f"{reading.measure.unit}"
        for reading in readings
    ]
    text = "; ".join(parts)
    return text if len(text) <= READINGS_LENGTH else text[: READINGS_LENGTH - 2] + " …"


def _importance(row: Finding) -> str:
    """Return how long it may wait: as its fault says, else as its judgement gives."""
    return row.fault.importance or IMPORTANCE_OF[Judgement(row.judgement)].value
