"""Notes readings after the repair: the torque reached, and what the walk would measure."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from django.db import transaction

from workshop.core.cardstates import Action
from workshop.core.judgement import Judgement
from workshop.inspections.models import Checkpoint, Measure
from workshop.jobcards.afterwards import TORQUE_UNIT, judge_torque, judged, measures_of
from workshop.jobcards.errors import JobCardError, TaskStandsError
from workshop.jobcards.holding import done, held, permit, seen_before
from workshop.jobcards.models import AfterReading, JobCard, Task, TaskState
from workshop.people.models import User


class ReadingRefusedError(JobCardError):
    """Raised where a reading can't be kept; ``field`` names the field it is about."""

    def __init__(self, message: str, field: str = "") -> None:
        self.field = field
        super().__init__(message)


@dataclass(frozen=True, slots=True)
class MakerFigure:
    """The torque that the maker asks for, in N·m, and where it says so."""

    low: Decimal | None
    high: Decimal | None
    source: str


@transaction.atomic
def note_readings(
    task: Task,
    *,
    by: User,
    key: str,
    torque: Decimal | None = None,
    maker: MakerFigure | None = None,
    values: Mapping[str, Decimal] | None = None,
) -> list[AfterReading]:
    """Return the readings kept after the repair, each as the rules judge it.

    ``torque`` is what was reached, in N·m; with ``maker`` it is held to the maker's figure, and
    so is what is read later. ``values`` are readings by code of measure, in its unit. Signatures
    of the release check fall where something is judged otherwise than sound.

    Raises:
        ReadingRefusedError: there is none, one is not read here, or the maker's figure is odd.
        TaskStandsError: the task is no longer wanted.
        CardStateError: the bike has been released.
        KeyClashError: the key was used for something else.
    """
    card = held(task.card_id)
    fresh = Task.objects.select_related("done_by").get(pk=task.pk)
    if seen_before(card, key, Action.READ, fresh.pk):
        return []
    if fresh.state == TaskState.DROPPED:
        raise TaskStandsError(fresh)
    permit(card, Action.READ)
    if torque is None and not values and maker is None:
        raise ReadingRefusedError("There is no reading. Enter a torque or another figure.")
    if maker is not None:
        _keep_maker(fresh, maker)
    kept = _measured(card, fresh, values or {}, by)
    if torque is not None:
        said = judge_torque(torque, *fresh.figure)
        kept.append(
            AfterReading(
                task=fresh,
                value=torque,
                unit=TORQUE_UNIT,
                judgement=said.judgement.value if said.judgement else "",
                words=said.words[:200],
                by=by,
            )
        )
    for each in kept:
        each.save()
    if any(each.judgement not in {"", Judgement.SOUND} for each in kept):
        card.checks.all().delete()
    words = f"read after {fresh.name}: {', '.join(map(str, kept)) or 'the maker’s figure'}"
    done(card, Action.READ, key=key, by=by, words=words, subject=fresh.pk)
    return kept


def _keep_maker(task: Task, maker: MakerFigure) -> None:
    """Keep the maker's figure with the task."""
    if maker.low is None and maker.high is None:
        raise ReadingRefusedError("Write the maker's torque, from or to.", "maker_low")
    if maker.low is not None and maker.high is not None and maker.low > maker.high:
        raise ReadingRefusedError("The maker's torque goes from the lower figure up.", "maker_high")
    if not maker.source.strip():
        raise ReadingRefusedError(
            "Write where the maker says so: on the part, or in which manual.", "maker_source"
        )
    task.maker_low_nm, task.maker_high_nm = maker.low, maker.high
    task.maker_source = maker.source.strip()[:200]
    task.save(update_fields=["maker_low_nm", "maker_high_nm", "maker_source"])


def _measured(
    card: JobCard, task: Task, values: Mapping[str, Decimal], by: User
) -> list[AfterReading]:
    """Return the readings of measures, judged, not saved yet."""
    measures = {each.code: each for each in measures_of(task)}
    if strangers := values.keys() - measures.keys():
        raise ReadingRefusedError(f"“{', '.join(sorted(strangers))}” is not read after this task.")
    for code, value in values.items():
        _refuse_implausible(measures[code], value)
    points = {each.checkpoint.pk: each.checkpoint for each in measures.values()}
    return [
        AfterReading(
            task=task,
            measure=each.measure,
            value=each.value,
            unit=each.measure.unit,
            judgement=each.judgement.value if each.judgement else "",
            rule=each.rule,
            words=each.fault.name[:200] if each.fault else "",
            by=by,
        )
        for point in points.values()
        for each in judged(card, point, _at(point, measures, values))
    ]


def _at(
    point: Checkpoint, measures: Mapping[str, Measure], values: Mapping[str, Decimal]
) -> dict[str, Decimal]:
    """Return the values that were read at a checkpoint."""
    own = {code for code, measure in measures.items() if measure.checkpoint_id == point.pk}
    return {code: value for code, value in values.items() if code in own}


def _refuse_implausible(measure: Measure, value: Decimal) -> None:
    """Raise where a value can't be."""
    if not (value.is_finite() and measure.plausible_min <= value <= measure.plausible_max):
        raise ReadingRefusedError(
            f"{measure.name}: {value} {measure.unit} can't be. Measure again.", measure.code
        )
