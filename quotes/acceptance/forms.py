"""The form at the counter."""

from __future__ import annotations

from typing import Any

from django import forms


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
