"""The forms that a price list passes: the file, how it is read, its columns, what is applied."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from django import forms

from inventory.formfields import PercentField
from inventory.pricelists.columns import COLUMNS, LABELS
from inventory.pricelists.models import CostRule, Incoming
from inventory.reading.rows import LIMITS, Kind
from inventory.reading.texts import DELIMITERS, ENCODINGS

NO_COLUMN = "not in this list"
COLUMN_LETTERS = 60
MARKS = ((".", "point: 1,234.50"), (",", "comma: 1.234,50"), ("", "there are no decimals"))


class SendForm(forms.Form):
    """The file."""

    file = forms.FileField(
        label="Price list",
        allow_empty_file=True,
        help_text=(
            f"CSV, .xlsx or .ods, up to {LIMITS.file_bytes // 1_000_000} MB "
            f"and {LIMITS.rows:,} rows."
        ),
        widget=forms.FileInput(attrs={"accept": ".csv,.txt,.tsv,.xlsx,.ods"}),
        error_messages={"required": "Choose a file first."},
    )


class WrittenForm(forms.Form):
    """How the file is written: what was found out can be changed."""

    encoding = forms.ChoiceField(label="Letters", choices=list(ENCODINGS.items()), required=False)
    delimiter = forms.ChoiceField(
        label="Cells are parted by", choices=list(DELIMITERS.items()), required=False
    )
    sheet = forms.TypedChoiceField(label="Sheet", coerce=int, required=False)
    head_row = forms.IntegerField(
        label="Row with the columns’ names",
        min_value=1,
        max_value=400,
        widget=forms.TextInput(attrs={"inputmode": "numeric"}),
    )

    def __init__(self, *args: Any, incoming: Incoming, **kwargs: Any) -> None:
        """Show what was found out; leave out what does not matter for this kind of file."""
        kwargs["initial"] = {
            name: getattr(incoming, name) for name in ("encoding", "delimiter", "sheet", "head_row")
        }
        super().__init__(*args, **kwargs)
        sheet = self.fields["sheet"]
        if isinstance(sheet, forms.TypedChoiceField):
            sheet.choices = list(enumerate(incoming.sheets))
        if incoming.kind == Kind.TEXT:
            del self.fields["sheet"]
        else:
            del self.fields["encoding"], self.fields["delimiter"]

    def facts(self) -> dict[str, Any]:
        """Return what was chosen, with nothing for what does not matter."""
        chosen = self.cleaned_data
        return {
            "encoding": chosen.get("encoding", ""),
            "delimiter": chosen.get("delimiter", ""),
            "sheet": chosen.get("sheet") or 0,
            "head_row": chosen["head_row"],
        }


class ColumnsForm(forms.ModelForm):  # type: ignore[type-arg] # not subscriptable at run time
    """Which column holds what, and what the list is good for."""

    decimal_mark = forms.ChoiceField(label="Decimal mark of prices", choices=MARKS, required=False)
    jump_share = PercentField(
        label="A jump is suspicious beyond", help_text="Dearer or cheaper by more than this."
    )

    class Meta:
        model = Incoming
        fields = ("decimal_mark", "valid_from", "whole_range", "jump_share", "cost_rule")
        widgets = {
            "valid_from": forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"}),
            "cost_rule": forms.RadioSelect,
        }
        labels = {"whole_range": "Everything they sell is in it: what is missing is no longer sold"}
        help_texts = {"cost_rule": "Selling prices are left to each part’s own rule."}

    def __init__(self, *args: Any, today: dt.date, width: int, **kwargs: Any) -> None:
        """Offer the columns by their names."""
        super().__init__(*args, **kwargs)
        self.today = today
        head = [*self.instance.head, *[""] * (width - len(self.instance.head))]
        choices = [
            ("", NO_COLUMN),
            *(
                (str(place), name[:COLUMN_LETTERS] or f"column {letters(place)}, without a name")
                for place, name in enumerate(head)
            ),
        ]
        for each in COLUMNS:
            self.fields[f"column_{each.key}"] = forms.ChoiceField(
                label=each.label,
                choices=choices,
                required=each.must,
                initial=self.instance.columns.get(each.key, ""),
                error_messages={"required": "Choose the column in which it stands."},
            )
        cost = self.fields["cost_rule"]
        if isinstance(cost, forms.ChoiceField):
            cost.choices = CostRule.choices

    def clean_valid_from(self) -> dt.date:
        """Return the day, which is not to come."""
        day: dt.date = self.cleaned_data["valid_from"]
        if day > self.today:
            raise forms.ValidationError("This day is still to come. Send the list in on that day.")
        return day

    def clean_jump_share(self) -> Decimal:
        """Return the share beyond which a difference is suspicious."""
        share: Decimal = self.cleaned_data["jump_share"]
        if not share:
            raise forms.ValidationError("With 0 every change is suspicious. Write 1 % or more.")
        return share

    def clean(self) -> dict[str, Any]:
        """See that no column is told twice."""
        data = super().clean() or self.cleaned_data
        chosen: dict[int, str] = {}
        for key, place in self.columns().items():
            if place in chosen:
                self.add_error(f"column_{key}", f"This column is the {chosen[place]} already.")
            chosen[place] = LABELS[key]
        return data

    def columns(self) -> Mapping[str, int]:
        """Return the places of the columns that were chosen."""
        chosen = {each.key: self.cleaned_data.get(f"column_{each.key}") for each in COLUMNS}
        return {key: int(place) for key, place in chosen.items() if place}

    def facts(self) -> dict[str, Any]:
        """Return the rest, for the verb."""
        return {name: self.cleaned_data[name] for name in self._meta.fields or ()}


class ApplyForm(forms.Form):
    """What is to be left out."""

    leave_wrong = forms.BooleanField(
        error_messages={"required": "Tick this, or mend the rows and send the list in again."}
    )
    jumps = forms.ChoiceField(
        choices=(("take", "Take them"), ("leave", "Leave them out: their old prices hold on")),
        widget=forms.RadioSelect,
        error_messages={"required": "Look at the suspicious jumps and choose."},
    )

    def __init__(self, *args: Any, incoming: Incoming, **kwargs: Any) -> None:
        """Ask only what there is to decide."""
        super().__init__(*args, **kwargs)
        rows = f"{incoming.wrong:,} row{'s' if incoming.wrong != 1 else ''}"
        self.fields["leave_wrong"].label = f"Leave the {rows} out in which something is wrong"
        jumps = incoming.counts.get("jump", 0)
        self.fields["jumps"].label = f"{jumps:,} suspicious jump{'s' if jumps != 1 else ''}"
        if not incoming.wrong:
            del self.fields["leave_wrong"]
        if not jumps:
            del self.fields["jumps"]


def letters(place: int) -> str:
    """Return a column's letters as a spreadsheet writes them: 0 is A, 26 is AA."""
    text, left = "", place + 1
    while left:
        left, rest = divmod(left - 1, 26)
        text = chr(65 + rest) + text
    return text
