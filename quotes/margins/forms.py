"""For which days margins are asked."""

from __future__ import annotations

from typing import Any

from django import forms

from inventory.formfields import SENSIBLE_DAY

A_DAY = {"type": "date"}


class PeriodForm(forms.Form):
    """From one day to another."""

    first = forms.DateField(
        label="Released from",
        widget=forms.DateInput(attrs=A_DAY, format="%Y-%m-%d"),
        validators=SENSIBLE_DAY,
    )
    last = forms.DateField(
        label="to",
        widget=forms.DateInput(attrs=A_DAY, format="%Y-%m-%d"),
        validators=SENSIBLE_DAY,
    )

    def clean(self) -> dict[str, Any]:
        """See that the days are in order."""
        super().clean()
        data = self.cleaned_data
        if data.get("first") and data.get("last") and data["last"] < data["first"]:
            self.add_error("last", "This is before the first day. Put them in order.")
        return data
