"""The form of extra work: what was found on strip-down, with photos, and what it stops."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import Any

from django import forms

from workshop.inspections.forms import photos_field
from workshop.inspections.models import Fault
from workshop.jobcards.models import Task
from workshop.jobcards.verbs.report_extra import MOST_NOTE


class ExtraForm(forms.Form):
    """A fault that is not on the quote, a note, at least one photo, and the tasks it stops."""

    fault = forms.ChoiceField(
        label="What is wrong?",
        widget=forms.RadioSelect,
        error_messages={"required": "Pick what is wrong."},
    )
    photos = photos_field()
    note = forms.CharField(
        label="Note", required=False, max_length=MOST_NOTE, widget=forms.Textarea(attrs={"rows": 2})
    )
    stops = forms.MultipleChoiceField(
        label="What can’t go on before the answer?",
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text="Everything else goes on.",
    )

    def __init__(
        self,
        *args: Any,
        faults: Sequence[Fault],
        tasks: Sequence[Task],
        touched: Collection[int] = (),
        **kwargs: Any,
    ) -> None:
        """Offer the faults and the tasks; those ``touched`` (pks) are ticked to begin with."""
        super().__init__(*args, **kwargs)
        self.faults = {fault.code: fault for fault in faults}
        self.fields["fault"].choices = [(fault.code, fault.name) for fault in faults]  # type: ignore[attr-defined] # a choice field
        self.fields["stops"].choices = [(str(task.pk), task.name) for task in tasks]  # type: ignore[attr-defined] # a choice field
        self.fields["stops"].initial = [str(pk) for pk in touched]
        self.fields["photos"].required = True
        self.fields["photos"].error_messages["required"] = "Take a photo of it."
        self.fields["photos"].help_text = "The customer is shown why it costs more."
        if not tasks:
            del self.fields["stops"]

    @property
    def chosen(self) -> Fault:
        """Return the fault that was chosen."""
        return self.faults[self.cleaned_data["fault"]]

    @property
    def stopped(self) -> list[int]:
        """Return the tasks (pks) that it stops."""
        return [int(pk) for pk in self.cleaned_data.get("stops", ())]
