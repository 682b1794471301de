"""Judges what a person enters at a checkpoint: readings and faults, by the rules in force."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal

from workshop.core.judgement import Judgement
from workshop.core.wear import BikeFacts, judge_check, judge_fault
from workshop.inspections.models import Checkpoint, Fault, JudgementRule, Measure, Outcome
from workshop.inspections.rules import core_rules


class EntryError(ValueError):
    """Raised when what was entered can't be kept; ``field`` names the field it is about."""

    def __init__(self, message: str, field: str | None = None) -> None:
        """Keep the words for the person and the field."""
        super().__init__(message)
        self.field = field


@dataclass(frozen=True, slots=True)
class FaultInput:
    """A fault as a person enters it.

    ``judgement`` is set only where the person judges otherwise than the rules, for ``reason``.
    With ``observed`` false it only re-judges a fault that a reading finds.
    """

    code: str
    judgement: Judgement | None = None
    reason: str = ""
    observed: bool = True


@dataclass(frozen=True, slots=True)
class Entry:
    """What a person enters at a checkpoint; readings by code of measure, in its unit."""

    outcome: Outcome
    faults: Sequence[FaultInput] = ()
    readings: Mapping[str, Decimal] = field(default_factory=dict)
    note: str = ""
    not_tested_reason: str = ""


@dataclass(frozen=True, slots=True)
class Judged:
    """What the rules say of one fault; ``reading`` is the measure that finds it, if one does."""

    fault: Fault
    judgement: Judgement
    deal_breaker: bool
    rule: JudgementRule | None = None
    reading: Measure | None = None


@dataclass(frozen=True, slots=True)
class JudgedReading:
    """What the rules say of one reading; ``judgement`` is None where no rule judges it.

    A ``reference`` is only read to be taken off another reading; ``needs`` is a measure that the
    rules want to take off this one and that has not been read.
    """

    measure: Measure
    value: Decimal
    judgement: Judgement | None
    fault: Fault | None = None
    rule: JudgementRule | None = None
    deal_breaker: bool = False
    reference: bool = False
    needs: Measure | None = None

    @property
    def text(self) -> str:
        """Return the value with its unit."""
        return f"{self.value.normalize():f} {self.measure.unit}"


@dataclass(frozen=True, slots=True)
class Resolved:
    """A finding to be kept: the fault as judged by rule, and the judgement that holds."""

    judged: Judged
    judgement: Judgement
    reason: str

    @property
    def deal_breaker(self) -> bool:
        """Tell whether it ends a buy-in.

        Judged milder than the rule it does not; judged worse it does where the fault can.
        """
        by_rule = self.judged.judgement
        if self.judgement is by_rule:
            return self.judged.deal_breaker
        worse = self.judgement.rank > by_rule.rank
        return worse and (self.judged.deal_breaker or self.judged.fault.deal_breaker)


class Judge:
    """The rules of one checkpoint applied to one bike."""

    def __init__(
        self, checkpoint: Checkpoint, facts: BikeFacts, kept: Collection[str] = ()
    ) -> None:
        """Take a checkpoint with measures, faults and rules fetched, and the bike's facts.

        Faults no longer in use can't be chosen, unless their code is in ``kept`` or a rule still
        finds them by a reading.
        """
        self.checkpoint = checkpoint
        self.facts = facts
        self.rules = core_rules(checkpoint)
        self.measures = {measure.code: measure for measure in checkpoint.measures.all()}
        self.all_faults = {fault.code: fault for fault in checkpoint.faults.all()}
        ruled = {rule.fault for rule in self.rules if rule.measure}
        self.faults = [
            fault
            for code, fault in self.all_faults.items()
            if fault.active or code in kept or code in ruled
        ]

    def readings(self, readings: Mapping[str, Decimal]) -> tuple[JudgedReading, ...]:
        """Return the rules' verdict on each reading, in the measures' order."""
        verdicts = {each.measure: each for each in judge_check(readings, self.rules, self.facts)}
        judged = []
        for code, measure in self.measures.items():
            if code not in readings:
                continue
            verdict = verdicts[code]
            judged.append(
                JudgedReading(
                    measure=measure,
                    value=readings[code],
                    judgement=verdict.judgement,
                    fault=self.all_faults[verdict.fault] if verdict.fault else None,
                    rule=self.rules[verdict.rule] if verdict.rule else None,
                    deal_breaker=verdict.deal_breaker,
                    reference=self.is_reference(code),
                    needs=self._missing(code, readings),
                )
            )
        return tuple(judged)

    def is_reference(self, code: str) -> bool:
        """Tell whether a measure is not judged: it gives a size, or is taken off another one."""
        if self.measures[code].fills:
            return True
        return not any(rule.measure == code for rule in self.rules) and any(
            rule.minus == code for rule in self.rules
        )

    def _missing(self, code: str, readings: Mapping[str, Decimal]) -> Measure | None:
        """Return a measure that a rule would take off this reading and that was not read."""
        wanted = (rule.minus for rule in self.rules if rule.measure == code and rule.minus)
        return next((self.measures[minus] for minus in wanted if minus not in readings), None)

    def fault(self, fault: Fault, readings: Iterable[JudgedReading] = ()) -> Judged:
        """Return what the rules say of a fault, given what the readings say.

        A reading that finds the fault goes before the fault's default judgement; where a rule
        about the fault as seen is worse than the reading's, that rule holds.
        """
        seen = judge_fault(
            fault.code,
            Judgement(fault.default_judgement),
            fault.deal_breaker,
            self.rules,
            self.facts,
        )
        by_eye = Judged(
            fault, seen.judgement, seen.deal_breaker, self.rules[seen.rule] if seen.rule else None
        )
        measured = [
            Judged(fault, each.judgement, each.deal_breaker, each.rule, each.measure)
            for each in readings
            if each.fault == fault and each.judgement and each.judgement is not Judgement.SOUND
        ]
        if not measured:
            return by_eye
        found = max(measured, key=lambda each: (each.judgement.rank, each.deal_breaker))
        if by_eye.rule and by_eye.judgement.rank > found.judgement.rank:
            return Judged(fault, by_eye.judgement, by_eye.deal_breaker, by_eye.rule, found.reading)
        return found

    def resolve(self, entry: Entry) -> tuple[Outcome, tuple[Resolved, ...]]:
        """Return the outcome and the findings that an entry comes to.

        Raises:
            EntryError: the entry contradicts itself or the rules, or is not complete.
        """
        self._check_readings(entry.readings)
        entered = self._check_faults(entry.faults)
        if entry.outcome == Outcome.NOT_TESTED:
            _check_not_tested(entry)
            return Outcome.NOT_TESTED, ()
        if entry.not_tested_reason:
            raise EntryError(
                "A reason for not testing is given. Press “Could not test”, or clear the reason.",
                "not_tested_reason",
            )
        readings = self.readings(entry.readings)
        found = self._findings(entered, readings)
        bad = [each for each in found if each.judgement is not Judgement.SOUND]
        if entry.outcome == Outcome.SOUND and bad:
            raise _not_sound(bad, readings)
        if not bad:
            _check_sound(entry, readings)
        return (Outcome.FINDINGS if bad else Outcome.SOUND), found

    def _findings(
        self, entered: Mapping[str, FaultInput], readings: Sequence[JudgedReading]
    ) -> tuple[Resolved, ...]:
        """Return the findings of the faults observed and of those that readings find."""
        measured = {each.fault.code for each in readings if each.fault}
        return tuple(
            _resolve_fault(self.fault(fault, readings), entered.get(code))
            for code, fault in self.all_faults.items()
            if code in measured or (code in entered and entered[code].observed)
        )

    def _check_readings(self, readings: Mapping[str, Decimal]) -> None:
        """See that each reading is one that is taken here, and plausible."""
        for code, value in readings.items():
            measure = self.measures.get(code)
            if measure is None:
                raise EntryError(f"“{code}” is not measured at “{self.checkpoint}”.")
            if not (value.is_finite() and measure.plausible_min <= value <= measure.plausible_max):
                raise EntryError(
                    f"{measure.name}: {value} {measure.unit} can't be. Measure again: between "
                    f"{measure.plausible_min.normalize():f} and "
                    f"{measure.plausible_max.normalize():f} {measure.unit} is plausible.",
                    code,
                )

    def _check_faults(self, faults: Iterable[FaultInput]) -> dict[str, FaultInput]:
        """Return the faults by code, after seeing that each is one of this checkpoint."""
        entered: dict[str, FaultInput] = {}
        allowed = {fault.code for fault in self.faults}
        for each in faults:
            if each.code not in allowed:
                raise EntryError(f"“{each.code}” is not a fault of “{self.checkpoint}”.", "faults")
            if each.code in entered:
                raise EntryError(f"“{each.code}” was entered twice.", "faults")
            entered[each.code] = each
        return entered


def _resolve_fault(judged: Judged, entered: FaultInput | None) -> Resolved:
    """Return the finding with the judgement that holds; judging otherwise needs a reason."""
    reason = entered.reason.strip() if entered else ""
    wanted = entered.judgement if entered else None
    if wanted is None:
        if reason:
            raise EntryError(
                f"{judged.fault.name}: a reason is given, but no other judgement. Choose one, or "
                "clear the reason.",
                judged.fault.code,
            )
        return Resolved(judged, judged.judgement, "")
    if wanted is not judged.judgement and not reason:
        raise EntryError(
            f"{judged.fault.name}: the rules say “{judged.judgement.label}”. "
            f"To judge it “{wanted.label}”, give the reason.",
            judged.fault.code,
        )
    return Resolved(judged, wanted, reason)


def _check_not_tested(entry: Entry) -> None:
    """See that a check that could not be made has a reason and claims nothing else."""
    if not entry.not_tested_reason.strip():
        raise EntryError("Say why it could not be tested.", "not_tested_reason")
    if entry.readings or any(each.observed for each in entry.faults):
        raise EntryError(
            "A reading or a fault is entered as well. Clear it, or save it as a finding.",
            "not_tested_reason",
        )


def _not_sound(bad: Sequence[Resolved], readings: Sequence[JudgedReading]) -> EntryError:
    """Return the refusal to call something sound that is not."""
    values = {each.measure: each.text for each in readings}
    parts = []
    for each in bad:
        measure = each.judged.reading
        by = f"{measure.name} {values[measure]}: " if measure else ""
        parts.append(f"{by}“{each.judged.fault.name}” is judged “{each.judgement.label}”")
    return EntryError(
        f"Not saved as sound. {'; '.join(parts)}. "
        "Save it as a finding, or judge it otherwise and give the reason."
    )


def _unjudged(reading: JudgedReading) -> EntryError:
    """Return the refusal to judge a reading that no rule judges."""
    if reading.needs:
        words = f"{reading.measure.name} is judged against {reading.needs.name}: read that as well."
        return EntryError(words, reading.needs.code)
    return EntryError(
        f"No rule judges {reading.measure.name} {reading.text}. Choose what is wrong, or press "
        "“Sound” and say in the note why it is.",
        "note",
    )


def _check_sound(entry: Entry, readings: Sequence[JudgedReading]) -> None:
    """See that something says sound: the person, or a rule for every reading."""
    unjudged = [each for each in readings if each.judgement is None and not each.reference]
    if unjudged:
        if entry.outcome == Outcome.SOUND and entry.note.strip():
            return
        raise _unjudged(unjudged[0])
    observed = any(each.observed for each in entry.faults)
    judged = [each for each in readings if not each.measure.fills]
    if entry.outcome == Outcome.FINDINGS and not judged and not observed:
        raise EntryError(
            "Nothing is entered yet. Press “Sound”, choose what is wrong, enter a reading, or "
            "say why it could not be tested.",
            "faults",
        )
