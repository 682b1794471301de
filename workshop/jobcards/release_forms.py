"""Forms of the release check: a signature, and letting the bike go."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone

from workshop.jobcards.signing import Standing

NEXT_CHECK_DAYS = 182
"""Half a year of everyday riding: common practice, no source."""
LATEST_CHECK_DAYS = 1095
MOST_KEY = 64


def key_field() -> forms.CharField:
    """Return the hidden field that makes a form sent twice be done once."""
    return forms.CharField(max_length=MOST_KEY, widget=forms.HiddenInput)


class SignForm(forms.Form):
    """A signature under one item, with a note where there is something to say."""

    key = key_field()
    note = forms.CharField(label="Note", required=False, max_length=200)


class LetGoForm(forms.Form):
    """The bike leaves: when it should be looked at again, and that the customer was told."""

    key = key_field()
    next_check_on = forms.DateField(
        label="Next check",
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        help_text="It stands on the release sheet.",
    )
    told_declined = forms.BooleanField(
        label="The customer was told, and knows what it means for riding", required=False
    )

    def __init__(self, *args: Any, standing: Standing, **kwargs: Any) -> None:
        """Ask whether the customer was told only where something was declined."""
        later = timezone.localdate() + dt.timedelta(days=NEXT_CHECK_DAYS)
        kwargs["initial"] = {"next_check_on": later, **(kwargs.get("initial") or {})}
        super().__init__(*args, **kwargs)
        if not standing.to_be_told:
            del self.fields["told_declined"]

    def clean_next_check_on(self) -> dt.date | None:
        """Refuse a day that has been, or one too far away to be meant."""
        day: dt.date | None = self.cleaned_data["next_check_on"]
        today = timezone.localdate()
        if day is not None and not today < day <= today + dt.timedelta(days=LATEST_CHECK_DAYS):
            raise ValidationError("The next check lies after today and within three years.")
        return day
