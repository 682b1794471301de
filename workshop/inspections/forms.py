"""The form of a checkpoint: readings, faults, judgements otherwise, note, photos."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms
from django.core.files.uploadedfile import UploadedFile
from django.forms import BoundField

from workshop.core.judgement import Judgement
from workshop.core.readings import ReadingError, parse_reading
from workshop.inspections.judging import EntryError, FaultInput, Judge
from workshop.inspections.models import Check, Finding, Measure

MOST_PHOTOS = 12


class PhotosInput(forms.ClearableFileInput):
    """Takes several photos, straight from the camera on a phone."""

    allow_multiple_selected = True
    template_name = "django/forms/widgets/file.html"


class PhotosField(forms.FileField):
    """Several uploaded files, none of them required."""

    widget = PhotosInput

    def clean(self, data: Any, initial: Any = None) -> list[UploadedFile[bytes]]:  # noqa: ANN401 - as Django has it
        """Return the files, at most ``MOST_PHOTOS`` at a time; what is in them is not checked."""
        files = [each for each in (data or ()) if each]
        if len(files) > MOST_PHOTOS:
            raise forms.ValidationError(
                f"Add at most {MOST_PHOTOS} photos at a time; these are {len(files)}."
            )
        return files


def photos_field() -> PhotosField:
    """Return the field for photos as both forms have it."""
    attrs = {"accept": "image/*", "capture": "environment", "multiple": True}
    return PhotosField(label="Photos", required=False, widget=PhotosInput(attrs=attrs))


class PhotosForm(forms.Form):
    """Photos added to a check that is already recorded."""

    photos = photos_field()


class RestForm(forms.Form):
    """Why the checkpoints still open were not tested."""

    rest_because = forms.CharField(
        label="Why were they not tested?",
        max_length=200,
        help_text="For instance: a deal-breaker was found.",
    )


class CheckForm(forms.Form):
    """What a person enters at a checkpoint.

    The fields for readings (``reading-…``), judgements otherwise (``judge-…``) and their reasons
    (``why-…``) are made for the checkpoint's measures and faults.
    """

    version = forms.IntegerField(widget=forms.HiddenInput, min_value=0)
    faults = forms.MultipleChoiceField(label="What is wrong?", required=False)
    note = forms.CharField(
        label="Note", required=False, max_length=1000, widget=forms.Textarea(attrs={"rows": 2})
    )
    photos = photos_field()
    quick_reason = forms.CharField(required=False, max_length=200)
    not_tested_reason = forms.CharField(
        label="Why could it not be tested?", required=False, max_length=200
    )

    def __init__(
        self,
        *args: Any,
        judge: Judge,
        check: Check | None = None,
        judge_url: str = "",
        **kwargs: Any,
    ) -> None:
        """Make the fields for the judge's checkpoint, filled in with what ``check`` recorded.

        A reading that is typed asks ``judge_url`` what the rules say.
        """
        super().__init__(*args, **{"initial": initial_of(check), **kwargs})
        self.judge = judge
        self.recorded = (
            {row.measure.code: row.value for row in check.readings.all()} if check else {}
        )
        for measure in judge.measures.values():
            asks = "" if measure.fills else judge_url
            self.fields[f"reading-{measure.code}"] = _reading_field(measure, asks)
        choices = [(fault.code, fault.name) for fault in judge.faults]
        self.fields["faults"].choices = choices  # type: ignore[attr-defined] # a choice field
        for fault in judge.faults:
            self.fields[f"judge-{fault.code}"] = forms.ChoiceField(
                label="Judge it as",
                required=False,
                choices=[("", "as the rules say"), *((j.value, j.label) for j in Judgement)],
            )
            self.fields[f"why-{fault.code}"] = forms.CharField(
                label="Reason", required=False, max_length=300
            )

    def clean(self) -> dict[str, Any]:
        """Read the readings in their units."""
        cleaned = super().clean() or self.cleaned_data
        for code, measure in self.judge.measures.items():
            text = cleaned.get(f"reading-{code}")
            if not text:
                continue
            try:
                cleaned[f"reading-{code}"] = parse_reading(
                    text,
                    measure.unit,
                    plausible_min=measure.plausible_min,
                    plausible_max=measure.plausible_max,
                    decimals=measure.decimals,
                )
            except ReadingError as error:
                self.add_error(f"reading-{code}", str(error))
        return cleaned

    @property
    def readings(self) -> dict[str, Decimal]:
        """Return the readings by code of measure: those recorded, or those typed if readable."""
        if not self.is_bound:
            return self.recorded
        _ = self.errors  # cleans the form, once
        values = {code: self.cleaned_data.get(f"reading-{code}") for code in self.judge.measures}
        return {code: value for code, value in values.items() if isinstance(value, Decimal)}

    @property
    def fault_inputs(self) -> list[FaultInput]:
        """Return the faults ticked, and the judgements given for others that a reading finds."""
        ticked = self.cleaned_data.get("faults", [])
        inputs = []
        for fault in self.judge.faults:
            otherwise = self.cleaned_data.get(f"judge-{fault.code}") or None
            why = self.cleaned_data.get(f"why-{fault.code}", "")
            if fault.code in ticked or otherwise or why:
                judgement = Judgement(otherwise) if otherwise else None
                inputs.append(FaultInput(fault.code, judgement, why, fault.code in ticked))
        return inputs

    @property
    def not_tested(self) -> bool:
        """Tell whether the person pressed one of the buttons for "could not test"."""
        return bool(self.data.get("quick_reason")) or "not_tested" in self.data

    @property
    def reason(self) -> str:
        """Return why it could not be tested, from the button or as typed."""
        quick: str = self.cleaned_data.get("quick_reason", "")
        return quick or str(self.cleaned_data.get("not_tested_reason", ""))

    def stand_on(self, version: int) -> None:
        """Set what was typed on top of another version of the check, for the next save."""
        data = self.data.copy()  # type: ignore[attr-defined] # a QueryDict, as views hand it over
        data["version"] = str(version)
        self.data = data

    def add_entry_error(self, error: EntryError) -> None:
        """Show an error of the verb at the field it is about."""
        names = (error.field, f"reading-{error.field}", f"why-{error.field}")
        name = next((name for name in names if name in self.fields), None)
        self.add_error(name, str(error))

    @property
    def photos_good(self) -> bool:
        """Tell whether the photos chosen are not what is wrong, so that they may stay chosen."""
        return self.is_bound and "photos" not in self.errors

    def reading_fields(self) -> list[tuple[Measure, BoundField]]:
        """Return each measure with its field, in order."""
        return [each for each in self._all_readings() if not each[0].fills]

    def size_fields(self) -> list[tuple[Measure, BoundField]]:
        """Return each measure that gives a size of the bike with its field, in order."""
        return [each for each in self._all_readings() if each[0].fills]

    def _all_readings(self) -> list[tuple[Measure, BoundField]]:
        measures = self.judge.measures.items()
        return [(measure, self[f"reading-{code}"]) for code, measure in measures]


def _reading_field(measure: Measure, judge_url: str) -> forms.CharField:
    """Return the field for a reading: text, since it may carry a comma, a fraction or a unit."""
    attrs = {"inputmode": "decimal", "autocomplete": "off"}
    if judge_url:
        attrs |= {"hx-get": judge_url, "hx-trigger": "input changed delay:400ms, change"}
    return forms.CharField(
        label=measure.name,
        required=False,
        max_length=40,
        help_text=" ".join(filter(None, (measure.help, _gauge(measure)))),
        widget=forms.TextInput(attrs=attrs),
    )


def _gauge(measure: Measure) -> str:
    """Return what to measure with, as a sentence."""
    return f"With: {measure.gauge}." if measure.gauge else ""


def initial_of(check: Check | None) -> dict[str, Any]:
    """Return what the form starts from: nothing, or what is recorded."""
    if check is None:
        return {"version": 0}
    initial: dict[str, Any] = {
        "version": check.version,
        "note": check.note,
        "faults": [each.fault.code for each in check.findings.all() if not _by_reading(each)],
    }
    for reading in check.readings.all():
        initial[f"reading-{reading.measure.code}"] = f"{reading.value.normalize():f}"
    for finding in check.findings.all():
        if finding.judgement != finding.rule_judgement:
            initial[f"judge-{finding.fault.code}"] = finding.judgement
            initial[f"why-{finding.fault.code}"] = finding.override_reason
    return initial


def _by_reading(finding: Finding) -> bool:
    """Tell whether the finding follows from a reading, so that it need not be ticked."""
    return finding.rule is not None and finding.rule.measure_id is not None
