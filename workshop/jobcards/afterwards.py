"""Judges readings after the repair: by the rules of the walk, torques by the figure to reach."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

from workshop.core.judgement import Judgement
from workshop.core.units import shown_in
from workshop.inspections.judging import Judge, JudgedReading
from workshop.inspections.models import Checkpoint, Measure, Reading
from workshop.inspections.rules import facts_for
from workshop.inspections.selectors import checkpoint_to_judge
from workshop.jobcards.models import AfterReading, JobCard, Task

TORQUE_UNIT = "N·m"
INCH_UNIT = "lbf·in"
TENTH = Decimal("0.1")


@dataclass(frozen=True, slots=True)
class Said:
    """What is said of a torque: its judgement (None without a figure) and why."""

    judgement: Judgement | None
    words: str


def in_inches(value: Decimal) -> Decimal:
    """Return a torque in N·m in lbf·in, rounded half-up to a whole one."""
    return shown_in(value, TORQUE_UNIT, INCH_UNIT).quantize(Decimal(1), ROUND_HALF_UP)


def torque_words(low: Decimal | None, high: Decimal | None) -> str:
    """Return a figure in both units: “5–8 N·m (44–71 lbf·in)”; empty where there is none."""
    ends = [each for each in (low, high) if each is not None]
    if not ends:
        return ""
    metric = "–".join(dict.fromkeys(f"{each.normalize():f}" for each in ends))
    inches = "–".join(dict.fromkeys(f"{in_inches(each)}" for each in ends))
    lead = "from " if high is None else "up to " if low is None else ""
    return f"{lead}{metric} {TORQUE_UNIT} ({inches} {INCH_UNIT})"


def judge_torque(value: Decimal, low: Decimal | None, high: Decimal | None) -> Said:
    """Return what is said of a torque reached, in N·m; the ends of the figure are good.

    Outside the figure it needs work: too loose comes undone, too tight breaks.
    """
    figure = torque_words(low, high)
    if not figure:
        return Said(None, "no figure to reach is known")
    if low is not None and value < low:
        return Said(Judgement.NEEDS_WORK, f"too loose: {figure}")
    if high is not None and value > high:
        return Said(Judgement.NEEDS_WORK, f"too tight: {figure}")
    return Said(Judgement.SOUND, f"as it should be: {figure}")


def measures_of(task: Task) -> list[Measure]:
    """Return what can be read after a task: the measures of the checkpoints it is for."""
    points = task.findings.values("check_made__checkpoint")
    rows = Measure.objects.filter(checkpoint__in=points).select_related("checkpoint")
    return list(rows.order_by("checkpoint__order", "order", "pk"))


def judged(
    card: JobCard, point: Checkpoint, values: Mapping[str, Decimal]
) -> Sequence[JudgedReading]:
    """Return the rules' verdict on values read after the repair, by code of measure.

    Values read after the repair before this stand beside them, and of those read before the
    repair the ones that are only taken off another (the depth of a new part).
    """
    if not values:
        return ()
    full = checkpoint_to_judge(point.code)
    judge = Judge(full, facts_for(card.inspection, full))
    codes = {measure.pk: measure.code for measure in full.measures.all()}
    beside = {
        code: value for code, value in before(card, codes).items() if judge.is_reference(code)
    }
    beside |= after(card, codes)
    verdicts = judge.readings(beside | dict(values))
    return [each for each in verdicts if each.measure.code in values]


def before(card: JobCard, codes: Mapping[int, str]) -> dict[str, Decimal]:
    """Return the readings of the card's inspection, by code of measure."""
    rows = Reading.objects.filter(
        check_made__inspection=card.inspection_id, measure_id__in=codes
    ).values_list("measure_id", "value")
    return {codes[pk]: value for pk, value in rows}


def after(card: JobCard, codes: Mapping[int, str]) -> dict[str, Decimal]:
    """Return the latest readings after the repair, by code of measure."""
    rows = AfterReading.objects.filter(task__card=card, measure_id__in=codes).order_by("pk")
    return {codes[pk]: value for pk, value in rows.values_list("measure_id", "value") if pk}
