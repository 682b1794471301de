"""The form at the counter."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django import forms
from django.utils import timezone

from inventory.formfields import SENSIBLE_DAY, PriceField
from workshop.bench.verbs.give_promise import MOST_WHY


class AnswerForm(forms.Form):
    """Who decides, a note, and what must be confirmed; the lines are ticked beside it."""

    decided_by = forms.CharField(
        label="Name of who decides", max_length=120, widget=forms.TextInput(attrs={"dir": "auto"})
    )
    note = forms.CharField(label="Note", max_length=500, required=False)
    expired_ok = forms.BooleanField(
        label="Its date has passed, and the shop stands by it all the same", required=False
    )
    must_refused_ok = forms.BooleanField(
        label="The customer was told of the danger and refuses what must be done", required=False
    )

    def __init__(self, *args: Any, expired: bool, must_refused: bool, **kwargs: Any) -> None:
        """Ask to confirm only what there is to confirm."""
        super().__init__(*args, **kwargs)
        if not expired:
            del self.fields["expired_ok"]
        if not must_refused:
            del self.fields["must_refused_ok"]


class OpenCardForm(forms.Form):
    """What is agreed with the customer as the job card is opened."""

    promised_on = forms.DateField(
        label="Promised for",
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        validators=SENSIBLE_DAY,
    )
    why = forms.CharField(
        label="Why earlier than reckoned",
        required=False,
        max_length=MOST_WHY,
        help_text="Only where the day lies before the one reckoned.",
    )
    go_ahead_gross = PriceField(
        label="Go ahead with extras up to, with VAT",
        required=False,
        min_value=0,
        help_text=(
            "What may be put right beyond the quote without asking, all extras together. "
            "Empty: the customer is always asked."
        ),
    )

    def clean_promised_on(self) -> dt.date | None:
        """Return the day, which has not passed."""
        day: dt.date | None = self.cleaned_data["promised_on"]
        if day and day < timezone.localdate():
            raise forms.ValidationError("This day has passed. Promise one that lies ahead.")
        return day
