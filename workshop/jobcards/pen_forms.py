"""The form that takes a card from paper: for each task its tick, who, when, minutes and figures."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.forms import BoundField
from django.utils import timezone

from inventory.core.fitting import Answer, Fit
from inventory.formfields import FigureField
from workshop.core.readings import ReadingError, parse_reading
from workshop.jobcards.afterwards import TORQUE_UNIT
from workshop.jobcards.models import Task, TaskPart, TaskState
from workshop.jobcards.reading_forms import torque_in
from workshop.jobcards.release_forms import key_field
from workshop.jobcards.selectors import TaskRow
from workshop.jobcards.selectors.measured import ToRead
from workshop.jobcards.verbs.enter_pen import PenPart, PenTask
from workshop.jobcards.verbs.parts import MOST_FIT_REASON
from workshop.people.models import Role, User

AT_BENCH = (Role.MECHANIC, Role.MANAGER, Role.DESK)
MOST_MINUTES = Decimal(1440)
ONCE = "%Y-%m-%dT%H:%M"


def moment_field(label: str, *, required: bool) -> forms.DateTimeField:
    """Return a field for a day and a time."""
    return forms.DateTimeField(
        label=label,
        required=required,
        input_formats=[ONCE, "%Y-%m-%dT%H:%M:%S"],
        widget=forms.DateTimeInput(attrs={"type": "datetime-local"}, format=ONCE),
    )


@dataclass(frozen=True, slots=True)
class PenPartFields:
    """The fields of one part; ``fit`` is whether it fits the bike, where something tells."""

    part: TaskPart
    fit: Fit | None
    fields: Sequence[BoundField]


@dataclass(frozen=True, slots=True)
class PenFields:
    """The fields of one task."""

    task: Task
    done: BoundField
    who: BoundField
    at: BoundField
    minutes: BoundField
    torque: BoundField | None
    measures: Sequence[tuple[ToRead, BoundField]]
    parts: Sequence[PenPartFields]

    @property
    def errors(self) -> list[str]:
        """Return what is wrong beside this task."""
        more = [field for part in self.parts for field in part.fields]
        fields = [self.done, self.who, self.at, self.minutes, self.torque]
        fields += [field for _read, field in self.measures]
        return [str(error) for field in (*fields, *more) if field for error in field.errors]


class PenForm(forms.Form):
    """All of a card; only tasks that are to do can be entered."""

    key = key_field()
    who = forms.ModelChoiceField(label="Who did the work", queryset=User.objects.none())
    end = moment_field("The last of it was done", required=True)

    def __init__(
        self,
        *args: Any,
        rows: Iterable[TaskRow],
        to_read: Mapping[int, Sequence[ToRead]],
        fits: Mapping[int, Fit],
        **kwargs: Any,
    ) -> None:
        now = timezone.localtime().replace(second=0, microsecond=0)
        kwargs["initial"] = {"end": now, **(kwargs.get("initial") or {})}
        super().__init__(*args, **kwargs)
        self.rows = [row for row in rows if row.task.state == TaskState.TO_DO]
        self.to_read, self.fits = to_read, fits
        people = User.objects.filter(is_active=True, role__in=AT_BENCH)
        names = [(each.pk, str(each)) for each in people]
        self.people = {each.pk: each for each in people}
        self.fields["who"].queryset = people  # type: ignore[attr-defined] # a choice of rows
        self.fields["who"].choices = names  # type: ignore[attr-defined] # read once, not twice
        for row in self.rows:
            self._add_fields(row, names)

    def _add_fields(self, row: TaskRow, names: list[tuple[int, str]]) -> None:
        """Make the fields of one task."""
        task, fields = row.task, self.fields
        name = task.name
        version = forms.IntegerField(widget=forms.HiddenInput, initial=task.version)
        fields[_name(task, "version")] = version
        fields[_name(task, "done")] = forms.BooleanField(label=f"Done: {name}", required=False)
        fields[_name(task, "who")] = forms.TypedChoiceField(
            label="Who",
            required=False,
            coerce=int,
            empty_value=None,
            choices=[("", "as above"), *names],
        )
        fields[_name(task, "at")] = moment_field("When", required=False)
        fields[_name(task, "minutes")] = FigureField(
            label="Took, minutes", required=False, min_value=0, max_value=MOST_MINUTES
        )
        if task.has_torque:
            fields[_name(task, "torque")] = _figure(f"Torque reached, {TORQUE_UNIT}")
        for each in self.to_read.get(task.pk, ()):
            words = f"{each.measure.name}, {each.measure.unit}"
            fields[_name(task, f"measure-{each.measure.code}")] = _figure(words)
        for part in row.to_draw:
            fields[_name(task, f"part-{part.pk}")] = FigureField(
                label=f"{part.part.name}, fitted ({part.part.unit})", required=False, min_value=0
            )
            if part.part.safety_critical:
                fields[_name(task, f"serial-{part.pk}")] = forms.CharField(
                    label="Serial or batch number", required=False, max_length=80
                )
            if self._is_misfit(part):
                fields[_name(task, f"fit-{part.pk}")] = forms.CharField(
                    label="Why it was fitted all the same",
                    required=False,
                    max_length=MOST_FIT_REASON,
                )

    def _is_misfit(self, part: TaskPart) -> bool:
        """Tell whether a part surely does not fit the bike."""
        fit = self.fits.get(part.part_id)
        return fit is not None and fit.answer is Answer.NO

    def clean(self) -> dict[str, Any]:
        """Read torques and measures in their units."""
        given = super().clean() or self.cleaned_data
        for row in self.rows:
            self._read(_name(row.task, "torque"), lambda text: torque_in(text, TORQUE_UNIT))
            for each in self.to_read.get(row.task.pk, ()):
                self._read(_name(row.task, f"measure-{each.measure.code}"), _measured_by(each))
        if not self.errors and not self.entered():
            raise ValidationError("Nothing is entered yet. Tick what was done on paper.")
        return given

    def _read(self, name: str, reading: Any) -> None:  # noqa: ANN401 - text to Decimal
        """Read one value; None where nothing was typed."""
        text = self.cleaned_data.get(name)
        self.cleaned_data[name] = None
        if text:
            try:
                self.cleaned_data[name] = reading(text)
            except ReadingError as error:
                self.add_error(name, str(error))

    def entered(self) -> list[PenTask]:
        """Return what was written, of tasks beside which something stands."""
        found = [self._entered(row) for row in self.rows]
        return [
            each
            for each in found
            if each.is_done or each.minutes or each.torque is not None or each.values or each.parts
        ]

    def _entered(self, row: TaskRow) -> PenTask:
        """Return what was written beside one task."""
        task, given = row.task, self.cleaned_data
        at: dt.datetime | None = given.get(_name(task, "at"))
        values = {
            each.measure.code: given[_name(task, f"measure-{each.measure.code}")]
            for each in self.to_read.get(task.pk, ())
        }
        parts = [
            PenPart(
                part.pk,
                quantity,
                given.get(_name(task, f"serial-{part.pk}")) or "",
                given.get(_name(task, f"fit-{part.pk}")) or "",
            )
            for part in row.to_draw
            if (quantity := given.get(_name(task, f"part-{part.pk}")))
        ]
        return PenTask(
            task=task.pk,
            version=given.get(_name(task, "version")) or 0,
            by=self.people.get(given.get(_name(task, "who")) or 0) or given["who"],
            is_done=bool(given.get(_name(task, "done"))),
            minutes=given.get(_name(task, "minutes")) or Decimal(0),
            done_at=at,
            torque=given.get(_name(task, "torque")),
            values={code: value for code, value in values.items() if value is not None},
            parts=parts,
        )

    def refuse(self, rows: Mapping[int, str]) -> None:
        """Show what the verb refuses at the tasks it is about."""
        for row in self.rows:
            if row.task.pk in rows:
                self.add_error(_name(row.task, "done"), rows[row.task.pk])

    def by_task(self) -> list[PenFields]:
        """Return the fields of each task, in the order of the card."""
        return [self._fields_of(row) for row in self.rows]

    def _fields_of(self, row: TaskRow) -> PenFields:
        """Return the fields of one task."""
        task = row.task
        torque = _name(task, "torque")
        return PenFields(
            task=task,
            done=self[_name(task, "done")],
            who=self[_name(task, "who")],
            at=self[_name(task, "at")],
            minutes=self[_name(task, "minutes")],
            torque=self[torque] if torque in self.fields else None,
            measures=[
                (each, self[_name(task, f"measure-{each.measure.code}")])
                for each in self.to_read.get(task.pk, ())
            ],
            parts=[self._fields_of_part(task, part) for part in row.to_draw],
        )

    def _fields_of_part(self, task: Task, part: TaskPart) -> PenPartFields:
        """Return the fields of one part."""
        names = [_name(task, f"{what}-{part.pk}") for what in ("part", "serial", "fit")]
        return PenPartFields(
            part,
            self.fits.get(part.part_id),
            [self[name] for name in names if name in self.fields],
        )

    def versions(self) -> list[BoundField]:
        """Return the hidden fields that say which state of each task was seen."""
        return [self["key"], *(self[_name(row.task, "version")] for row in self.rows)]


def _name(task: Task, what: str) -> str:
    """Return the name of a task's field."""
    return f"task-{task.pk}-{what}"


def _figure(label: str) -> forms.CharField:
    """Return a field for a reading: text, since it may carry a comma or a unit."""
    attrs = {"inputmode": "decimal", "autocomplete": "off"}
    return forms.CharField(
        label=label, required=False, max_length=40, widget=forms.TextInput(attrs=attrs)
    )


def _measured_by(each: ToRead) -> Any:  # noqa: ANN401 - text to Decimal
    """Return what reads a value of a measure."""
    measure = each.measure
    return lambda text: parse_reading(
        text,
        measure.unit,
        plausible_min=measure.plausible_min,
        plausible_max=measure.plausible_max,
        decimals=measure.decimals,
    )
