"""How readings and observed faults become judgements, by rules that are rows of the catalogue."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from workshop.core.judgement import Judgement

PITCH_MM = Decimal("12.7")  # 1/2 in: ISO 9633, cycle chains


@dataclass(frozen=True, slots=True)
class BikeFacts:
    """What a rule may ask of a bike: age in whole years (None: unknown), use, kind.

    ``brakes`` are the kinds of brake where the rule is asked: at one end there is one.
    """

    age_years: int | None
    use: str
    frame: str
    brakes: frozenset[str]
    gears: str


@dataclass(frozen=True, slots=True)
class Rule:
    """A row that judges a reading or an observed fault.

    With a ``measure`` it matches where ``at_least`` ≤ value < ``below`` in the measure's unit,
    the value being the reading less that of ``minus``. Without one it matches where ``fault`` was
    observed. ``age_from`` ≤ age < ``age_below`` in whole years. Empty conditions match all.
    """

    key: str
    version: int
    measure: str | None
    minus: str | None
    fault: str | None
    at_least: Decimal | None
    below: Decimal | None
    age_from: int | None
    age_below: int | None
    uses: tuple[str, ...]
    frames: tuple[str, ...]
    brakes: tuple[str, ...]
    gears: tuple[str, ...]
    judgement: Judgement
    deal_breaker: bool
    source: str


@dataclass(frozen=True, slots=True)
class Verdict:
    """What the rules say of one measure; without a judgement no rule judges the reading."""

    judgement: Judgement | None
    fault: str | None
    rule: Rule | None
    deal_breaker: bool
    measure: str = ""

    @property
    def rank(self) -> int:
        """Return −1 where nothing is judged, else the judgement's rank."""
        return -1 if self.judgement is None else self.judgement.rank


@dataclass(frozen=True, slots=True)
class FaultVerdict:
    """What the rules say of an observed fault; without a rule its own judgement holds."""

    judgement: Judgement
    rule: Rule | None
    deal_breaker: bool


def judge_check(
    readings: Mapping[str, Decimal], rules: Iterable[Rule], facts: BikeFacts
) -> tuple[Verdict, ...]:
    """Return a verdict for each measure that was read, in the order of the readings.

    Of all rows that match the worst holds, of equally bad ones the first; any of them that is a
    deal-breaker makes the verdict one. A row with ``minus`` matches only where both were read.
    """
    rules = tuple(rules)
    return tuple(_judge_measure(measure, readings, rules, facts) for measure in readings)


def judge_readings(
    readings: Mapping[str, Decimal], rules: Iterable[Rule], facts: BikeFacts
) -> tuple[Verdict, ...]:
    """Return a verdict for each measure that was read, worst first; those not judged come last."""
    return tuple(sorted(judge_check(readings, rules, facts), key=lambda each: -each.rank))


def _judge_measure(
    measure: str, readings: Mapping[str, Decimal], rules: Sequence[Rule], facts: BikeFacts
) -> Verdict:
    """Judge one measure."""
    matching = [
        rule
        for rule in rules
        if rule.measure == measure and _applies(rule, facts) and _in_range(rule, readings)
    ]
    if not matching:
        return Verdict(None, None, None, deal_breaker=False, measure=measure)
    rule = _worst(matching)
    breaks = any(each.deal_breaker for each in matching)
    return Verdict(rule.judgement, rule.fault, rule, breaks, measure)


def judge_fault(
    fault_code: str,
    default: Judgement,
    default_deal_breaker: bool,  # noqa: FBT001 - the fault's own field, beside its judgement
    rules: Iterable[Rule],
    facts: BikeFacts,
) -> FaultVerdict:
    """Return the verdict on a fault that was seen, felt or heard.

    Of all rows that match the worst holds; where none does, the fault's own judgement. A bike of
    unknown age is judged as the worst of all the ages that the rows tell apart.
    """
    about = [rule for rule in rules if rule.measure is None and rule.fault == fault_code]
    ages = [facts.age_years] if facts.age_years is not None else _ages(about)
    verdicts = []
    for age in ages:
        matching = [rule for rule in about if _applies(rule, replace(facts, age_years=age))]
        if matching:
            breaks = any(each.deal_breaker for each in matching)
            verdicts.append(FaultVerdict(_worst(matching).judgement, _worst(matching), breaks))
        else:
            verdicts.append(FaultVerdict(default, None, default_deal_breaker))
    return max(verdicts, key=lambda each: (each.judgement.rank, each.deal_breaker))


def _ages(rules: Iterable[Rule]) -> list[int]:
    """Return one age, in years, of each stretch of ages that the rows tell apart."""
    bounds = {bound for rule in rules for bound in (rule.age_from, rule.age_below)}
    return sorted({0} | {bound for bound in bounds if bound is not None})


def _worst(rules: Sequence[Rule]) -> Rule:
    """Return the row with the worst judgement, the first of equally bad ones."""
    return max(rules, key=lambda rule: (rule.judgement.rank, rule.deal_breaker))


def _applies(rule: Rule, facts: BikeFacts) -> bool:
    """Tell whether a row is about such a bike; an unknown age matches every age condition."""
    age = facts.age_years
    return (
        (age is None or rule.age_from is None or age >= rule.age_from)
        and (age is None or rule.age_below is None or age < rule.age_below)
        and (not rule.uses or facts.use in rule.uses)
        and (not rule.frames or facts.frame in rule.frames)
        and (not rule.brakes or not facts.brakes.isdisjoint(rule.brakes))
        and (not rule.gears or facts.gears in rule.gears)
    )


def _in_range(rule: Rule, readings: Mapping[str, Decimal]) -> bool:
    """Tell whether the reading, less the one of ``minus``, lies in the row's range."""
    if rule.measure is None or (rule.minus is not None and rule.minus not in readings):
        return False
    value = readings[rule.measure] - (readings[rule.minus] if rule.minus is not None else 0)
    return (rule.at_least is None or value >= rule.at_least) and (
        rule.below is None or value < rule.below
    )


def chain_elongation(length_mm: Decimal, pitches: int = 24) -> Decimal:
    """Return how much longer than new a chain is, in per cent, not rounded.

    ``length_mm`` is measured from pin to pin over ``pitches``, of 12.7 mm each when new (ISO
    9633). Raises ``ValueError`` for a length or a number of pitches that is not above zero.
    """
    if pitches < 1 or length_mm <= 0:
        raise ValueError("Measure a length above zero over one pitch or more.")
    return (length_mm / (pitches * PITCH_MM) - 1) * 100
