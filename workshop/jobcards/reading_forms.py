"""The form of the readings after a repair: the torque reached, the maker's figure, measures."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django import forms
from django.forms import BoundField

from workshop.core.judgement import Judgement
from workshop.core.readings import ReadingError, parse_reading
from workshop.inspections.models import Checkpoint, Measure
from workshop.jobcards.afterwards import (
    INCH_UNIT,
    TORQUE_UNIT,
    in_inches,
    judge_torque,
    judged,
    measures_of,
)
from workshop.jobcards.models import Task
from workshop.jobcards.verbs.read import MakerFigure, ReadingRefusedError

UNITS = ((TORQUE_UNIT, TORQUE_UNIT), (INCH_UNIT, INCH_UNIT))
LEAST_NM, MOST_NM = Decimal("0.1"), Decimal(200)
"""Torques outside can't be meant on a bike. # from memory"""
HAS_UNIT = re.compile(r"[^\W\d_]")


@dataclass(frozen=True, slots=True)
class Verdict:
    """What is said of a reading: a judgement (empty where none is made), and words."""

    name: str
    judgement: str
    words: str


def torque_in(text: str, unit: str) -> Decimal:
    """Return a torque in N·m, to a tenth; a unit written behind the figure goes before ``unit``.

    Raises ``ReadingError`` as reading any value does.
    """
    written = text if HAS_UNIT.search(text) else f"{text} {unit}"
    return parse_reading(
        written, TORQUE_UNIT, plausible_min=LEAST_NM, plausible_max=MOST_NM, decimals=1
    )


def at_the_end(value: Decimal, figure: tuple[Decimal | None, Decimal | None]) -> Decimal:
    """Return the end of the figure that a torque read in lbf·in means, else the torque itself.

    A wrench marked in lbf·in is set to whole ones, as the figure is shown: who sets it to the 89
    that 10 N·m are shown as has reached 10, though 89 lbf·in are a little more.
    """
    ends = [end for end in figure if end is not None and in_inches(end) == in_inches(value)]
    return min(ends, key=lambda end: abs(end - value), default=value)


def _unit_field(label: str) -> forms.ChoiceField:
    """Return the choice of the unit that a wrench or a manual is marked in."""
    return forms.ChoiceField(
        label=label, choices=UNITS, initial=TORQUE_UNIT, required=False, widget=forms.RadioSelect
    )


def _torque_field(label: str) -> forms.CharField:
    """Return a field for a torque: text, since it may carry a comma or a unit."""
    attrs = {"inputmode": "decimal", "autocomplete": "off"}
    return forms.CharField(
        label=label, required=False, max_length=40, widget=forms.TextInput(attrs=attrs)
    )


class ReadingsForm(forms.Form):
    """What was read after a task; fields ``reading-…`` are made for what the walk measures there.

    With ``judge_url`` what is typed asks there what the rules say of it.
    """

    torque = _torque_field("Torque reached")
    unit = _unit_field("The wrench is marked in")
    maker_low = _torque_field("The maker asks for, from")
    maker_high = _torque_field("up to")
    maker_unit = _unit_field("The maker’s figure is in")
    maker_source = forms.CharField(
        label="Where the maker says so",
        required=False,
        max_length=200,
        help_text="On the part, or which manual.",
    )

    def __init__(self, *args: Any, task: Task, judge_url: str = "", **kwargs: Any) -> None:
        self.task = task
        self.measures = {measure.code: measure for measure in measures_of(task)}
        super().__init__(*args, **{"initial": _initial(task), **kwargs})
        for code, measure in self.measures.items():
            field = _torque_field(measure.name)
            gauge = f"With: {measure.gauge}." if measure.gauge else ""
            field.help_text = " ".join(filter(None, (measure.help, gauge)))
            self.fields[f"reading-{code}"] = field
        if judge_url:
            asking = {"hx-get": judge_url, "hx-trigger": "input changed delay:400ms, change"}
            for each in self.fields.values():
                each.widget.attrs |= asking

    def clean(self) -> dict[str, Any]:
        """Read every value in its unit, torques in N·m."""
        cleaned = super().clean() or self.cleaned_data
        for name in ("maker_low", "maker_high"):
            self._read(name, cleaned.get("maker_unit") or TORQUE_UNIT)
        self._read("torque", cleaned.get("unit") or TORQUE_UNIT)
        for code, measure in self.measures.items():
            self._read(f"reading-{code}", "", measure)
        if self.reached is not None and self._is_in_inches:
            cleaned["torque"] = at_the_end(self.reached, self.figure)
        return cleaned

    def _read(self, name: str, unit: str, measure: Measure | None = None) -> None:
        """Read one value; None where nothing was typed."""
        text = self.cleaned_data.get(name)
        if not text:
            self.cleaned_data[name] = None
            return
        try:
            self.cleaned_data[name] = (
                torque_in(text, unit) if measure is None else _measured(text, measure)
            )
        except ReadingError as error:
            self.add_error(name, str(error))

    @property
    def _is_in_inches(self) -> bool:
        """Tell whether the torque was read in lbf·in."""
        typed = str(self["torque"].value())
        return "lb" in typed if HAS_UNIT.search(typed) else self.cleaned_data["unit"] == INCH_UNIT

    @property
    def reached(self) -> Decimal | None:
        """Return the torque reached, in N·m, where one can be read."""
        return self._number("torque")

    @property
    def maker(self) -> MakerFigure | None:
        """Return the maker's figure as typed; None where it stands with the task already."""
        source = str(self.cleaned_data.get("maker_source") or "").strip()
        typed = (self._number("maker_low"), self._number("maker_high"))
        kept = (self.task.maker_low_nm, self.task.maker_high_nm)
        if (*typed, source) == (*kept, self.task.maker_source):
            return None
        return MakerFigure(*typed, source) if any((*typed, source)) else None

    @property
    def figure(self) -> tuple[Decimal | None, Decimal | None]:
        """Return the torque to reach in N·m: the maker's as typed, else as the task has it."""
        typed = (self._number("maker_low"), self._number("maker_high"))
        return typed if any(each is not None for each in typed) else self.task.figure

    @property
    def values(self) -> dict[str, Decimal]:
        """Return what else was read, by code of measure."""
        found = {code: self._number(f"reading-{code}") for code in self.measures}
        return {code: value for code, value in found.items() if value is not None}

    def _number(self, name: str) -> Decimal | None:
        """Return a cleaned value where it could be read."""
        value = self.cleaned_data.get(name)
        return value if isinstance(value, Decimal) else None

    def refuse(self, error: ReadingRefusedError) -> None:
        """Show an error of the verb at the field it is about."""
        name = next((n for n in (error.field, f"reading-{error.field}") if n in self.fields), None)
        self.add_error(name, str(error))

    @property
    def torque_is_open(self) -> bool:
        """Tell whether the torque stands unfolded: where one is asked for or typed."""
        return self.task.has_torque or bool(self["torque"].value())

    @property
    def maker_is_open(self) -> bool:
        """Tell whether the maker's figure stands unfolded: where something is wrong with it."""
        return any(self[name].errors for name in ("maker_low", "maker_high", "maker_source"))

    def reading_fields(self) -> list[tuple[Measure, BoundField]]:
        """Return each measure with its field, in order."""
        return [(measure, self[f"reading-{code}"]) for code, measure in self.measures.items()]


def _initial(task: Task) -> dict[str, Any]:
    """Return the maker's figure as it is kept, in N·m."""
    ends = {"maker_low": task.maker_low_nm, "maker_high": task.maker_high_nm}
    shown = {name: f"{end.normalize():f}" for name, end in ends.items() if end is not None}
    return {**shown, "maker_source": task.maker_source}


def _measured(text: str, measure: Measure) -> Decimal:
    """Return what was read, in the measure's unit."""
    return parse_reading(
        text,
        measure.unit,
        plausible_min=measure.plausible_min,
        plausible_max=measure.plausible_max,
        decimals=measure.decimals,
    )


def verdicts_of(form: ReadingsForm) -> list[Verdict]:
    """Return what the rules say of what stands in the form; what can't be read says why."""
    wrong = [
        Verdict(str(bound.label), "", str(bound.errors[0]))
        for bound in form.visible_fields()
        if bound.errors
    ]
    return [*wrong, *_of_torque(form), *_of_measures(form)]


def _of_torque(form: ReadingsForm) -> Sequence[Verdict]:
    """Return what is said of the torque reached, if one was."""
    if form.reached is None:
        return ()
    said = judge_torque(form.reached, *form.figure)
    shown = f"{form.reached.normalize():f} {TORQUE_UNIT}, {in_inches(form.reached)} {INCH_UNIT}"
    return (
        Verdict("Torque", said.judgement.value if said.judgement else "", f"{shown}: {said.words}"),
    )


def _of_measures(form: ReadingsForm) -> list[Verdict]:
    """Return what the rules of the walk say of the measures read."""
    points: dict[int, Checkpoint] = {}
    for code in form.values:
        points[form.measures[code].checkpoint_id] = form.measures[code].checkpoint
    found = []
    for pk, point in points.items():
        own = {c: v for c, v in form.values.items() if form.measures[c].checkpoint_id == pk}
        for each in judged(form.task.card, point, own):
            words = f"{each.text}: {each.fault}" if each.fault else each.text
            if each.judgement is None:
                words += f": read {each.needs} as well" if each.needs else ": no rule judges it"
            word = Judgement(each.judgement).value if each.judgement else ""
            found.append(Verdict(each.measure.name, word, words))
    return found
