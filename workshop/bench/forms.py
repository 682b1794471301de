"""Forms for hours, absences, closed days, how promises are made, and a promise."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from decimal import Decimal
from typing import Any

from django import forms
from django.forms import BoundField

from inventory.formfields import SENSIBLE_DAY, PercentField
from workshop.bench.calendar import subdivisions
from workshop.bench.models import (
    HOUR,
    LEAST,
    MOST,
    WHOLE_SHARE,
    Absence,
    BenchPerson,
    BenchSettings,
    SpecialDay,
    Weekday,
    time_of,
)
from workshop.bench.verbs.set_hours import Hours
from workshop.shop.models import Shop

LONGEST_PAUSE = 240
BOTH = "{}: write both when it starts and when it ends, or leave both empty."
BACKWARDS = "{}: the day ends before its hours and its pause are over."
DAYS_BACKWARDS = "The last day lies before the first."


def day_input() -> forms.DateInput:
    """Return the browser's own calendar for a day."""
    return forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")


def clock_input() -> forms.TimeInput:
    """Return the browser's own clock."""
    return forms.TimeInput(attrs={"type": "time"}, format="%H:%M")


class HoursForm(forms.Form):
    """A person's week: from, to and pause for each day; a day left empty is free."""

    bench_share = PercentField(
        label="Of this time at the bench",
        max_value=WHOLE_SHARE,
        help_text="The rest goes on the telephone, tidying up and customers at the counter.",
    )

    def __init__(self, *args: Any, person: BenchPerson | None, **kwargs: Any) -> None:
        """Show the hours that the person has."""
        super().__init__(*args, **kwargs)
        rows = {row.weekday: row for row in person.hours.all()} if person else {}
        self.fields["bench_share"].initial = (person or BenchPerson()).bench_share
        for weekday in Weekday:
            row = rows.get(weekday.value)
            for name, label in (("starts", "From"), ("ends", "To")):
                self.fields[f"{name}_{weekday.value}"] = forms.TimeField(
                    label=label,
                    required=False,
                    widget=clock_input(),
                    initial=time_of(getattr(row, name)) if row else None,
                )
            self.fields[f"pause_{weekday.value}"] = forms.IntegerField(
                label="Pause, min",
                required=False,
                min_value=0,
                max_value=LONGEST_PAUSE,
                widget=forms.TextInput(attrs={"inputmode": "numeric"}),
                initial=row.pause if row else None,
            )

    def days(self) -> Iterator[tuple[str, BoundField, BoundField, BoundField]]:
        """Return each weekday's name with its three fields."""
        for weekday in Weekday:
            one, two, three = (self[f"{n}_{weekday.value}"] for n in ("starts", "ends", "pause"))
            yield str(weekday.label), one, two, three

    def clean(self) -> dict[str, Any]:
        """See that each day has both ends, in order."""
        super().clean()
        for weekday in Weekday:
            starts, ends, pause = self._day(weekday.value)
            if (starts is None) != (ends is None):
                field = f"{'ends' if ends is None else 'starts'}_{weekday.value}"
                self.add_error(field, BOTH.format(weekday.label))
            elif starts is not None and ends is not None and starts + pause >= ends:
                self.add_error(f"ends_{weekday.value}", BACKWARDS.format(weekday.label))
        return self.cleaned_data

    def hours(self) -> list[Hours]:
        """Return the hours of the days that have any."""
        found = ((weekday.value, *self._day(weekday.value)) for weekday in Weekday)
        return [Hours(day, s, e, p) for day, s, e, p in found if s is not None and e is not None]

    def _day(self, weekday: int) -> tuple[int | None, int | None, int]:
        """Return a day's start and end in minutes after midnight, and its pause."""
        starts, ends = (
            _minute(self.cleaned_data.get(f"{n}_{weekday}")) for n in ("starts", "ends")
        )
        return starts, ends, self.cleaned_data.get(f"pause_{weekday}") or 0


def _minute(time: dt.time | None) -> int | None:
    """Return a time in minutes after midnight."""
    return None if time is None else time.hour * HOUR + time.minute


class SpanForm(forms.ModelForm):  # type: ignore[type-arg] # not subscriptable at run time
    """Days from the first to the last; without a last one it is a single day."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        """Let the last day be left empty."""
        super().__init__(*args, **kwargs)
        self.fields["last"].required = False

    def clean(self) -> dict[str, Any]:
        """See that the days go forward."""
        super().clean()
        first, last = self.cleaned_data.get("first"), self.cleaned_data.get("last")
        if first and last and last < first:
            self.add_error("last", DAYS_BACKWARDS)
        elif first and not last and "last" not in self.errors:
            self.cleaned_data["last"] = first
        return self.cleaned_data


class AbsenceForm(SpanForm):
    """Days on which a person is away."""

    class Meta:
        model = Absence
        fields = ("first", "last", "reason")
        widgets = {"first": day_input(), "last": day_input()}
        help_texts = {"reason": "Others see it: “holiday” says enough."}


class SpecialDayForm(SpanForm):
    """Days on which the shop is closed, or open although they are holidays."""

    class Meta:
        model = SpecialDay
        fields = ("first", "last", "reason", "is_open")
        widgets = {"first": day_input(), "last": day_input()}


class SettingsForm(forms.ModelForm):  # type: ignore[type-arg] # not subscriptable at run time
    """How the shop promises, and which holidays it keeps."""

    subdivision = forms.ChoiceField(label="Part of the country", required=False)

    class Meta:
        model = BenchSettings
        fields = ("share", "check_minutes", "answer_days", "keeps_holidays", "subdivision")
        field_classes = {"share": PercentField}
        widgets = {
            "check_minutes": forms.TextInput(attrs={"inputmode": "numeric"}),
            "answer_days": forms.TextInput(attrs={"inputmode": "numeric"}),
        }
        labels = {
            "share": "Promises to be kept, per cent",
            "check_minutes": "The release check takes, minutes",
            "answer_days": "A customer answers within, working days",
        }
        help_texts = {
            "share": "50 to 90. The more, the later the day that is promised.",
            "answer_days": "Extra work is reckoned with as if the answer came then.",
            "keeps_holidays": "Of the shop’s country.",
        }

    def __init__(self, *args: Any, shop: Shop, **kwargs: Any) -> None:
        """Offer the parts of the shop's country."""
        super().__init__(*args, **kwargs)
        field = self.fields["subdivision"]
        assert isinstance(field, forms.ChoiceField)  # noqa: S101 - for the type
        field.choices = [("", "what the whole country keeps"), *subdivisions(shop.country)]

    def clean_share(self) -> Decimal:
        """Return the share, within what can be promised."""
        share: Decimal = self.cleaned_data["share"]
        if not LEAST <= share <= MOST:
            raise forms.ValidationError(
                f"Promises can be made for {LEAST:.0%} to {MOST:.0%} of cases. Write one of these."
            )
        return share


class PromiseForm(forms.Form):
    """The day that a customer is promised."""

    promised_on = forms.DateField(label="Promise", widget=day_input(), validators=SENSIBLE_DAY)
    why = forms.CharField(
        label="Why earlier than reckoned",
        required=False,
        max_length=120,
        help_text="Only where the day lies before the one reckoned.",
    )
