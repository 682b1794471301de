"""The form that asks for labels: of what, how large, how many, from which place of the sheet on."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from typing import Any, Generic, TypeVar

from django import forms
from django.core.exceptions import ValidationError
from django.db.models import Q

from inventory.parts.models import Part, normal_gtin
from workshop.bikes.models import Bike
from workshop.labels.models import LabelSize

Thing = TypeVar("Thing", Bike, Part)
MOST_LABELS = 260
"""Four sheets of the smallest; each label takes some hundredths of a second to make."""
MOST_COPIES = 50
MOST_TEXT = 10_000
FIRST = "First free label"


class LabelForm(forms.Form, Generic[Thing]):
    """What labels have in common; ``chosen`` are the things they are for, once it is valid."""

    size = forms.ModelChoiceField(queryset=LabelSize.objects.none(), empty_label=None)
    copies = forms.IntegerField(
        label="Of each",
        min_value=1,
        max_value=MOST_COPIES,
        initial=1,
        widget=forms.NumberInput(attrs={"inputmode": "numeric"}),
    )
    first = forms.IntegerField(
        label=FIRST,
        min_value=1,
        initial=1,
        help_text="Counted row by row, where some of the sheet are used already.",
        widget=forms.NumberInput(attrs={"inputmode": "numeric"}),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        """Offer the sizes in use."""
        super().__init__(*args, **kwargs)
        sizes = LabelSize.objects.filter(active=True)
        self.fields["size"].queryset = sizes  # type: ignore[attr-defined] # a choice of rows
        self.initial.setdefault("size", sizes.first())
        self.chosen: list[Thing] = []

    def clean(self) -> dict[str, Any]:
        """Refuse a place that the sheet does not have, and more labels than are printed at once."""
        given = super().clean() or self.cleaned_data
        size, first = given.get("size"), given.get("first")
        if size and first and first > size.grid.on_a_sheet:
            self.add_error("first", f"{size} has {size.grid.on_a_sheet} labels.")
        if len(self.chosen) * (given.get("copies") or 1) > MOST_LABELS:
            self.add_error("copies", f"At most {MOST_LABELS} labels are printed at once.")
        return given


def numbers_in(text: str) -> list[str]:
    """Return what is written one a line or between commas, each once, in its order."""
    return list(dict.fromkeys(filter(None, (each.strip() for each in re.split(r"[\n,;]", text)))))


def all_found(
    asked: Sequence[str], rows: Iterable[Thing], names: Callable[[Thing], Iterable[str]]
) -> list[Thing]:
    """Return what was asked for in its order.

    Raises:
        ValidationError: something is not there; it is named.
    """
    known = {name.casefold(): row for row in rows for name in names(row) if name}
    if missing := [each for each in asked if each.casefold() not in known]:
        raise ValidationError(f"Not found: {', '.join(missing)}. Write the numbers as they stand.")
    return list(dict.fromkeys(known[each.casefold()] for each in asked))


class BikeLabelForm(LabelForm[Bike]):
    """Labels of bikes, by their stock numbers."""

    bikes = forms.CharField(
        label="Stock numbers",
        max_length=MOST_TEXT,
        help_text="One a line, or between commas.",
        widget=forms.Textarea(attrs={"rows": 4}),
    )
    field_order = ("bikes", "size", "copies", "first")

    def clean_bikes(self) -> str:
        """Find the bikes."""
        text: str = self.cleaned_data["bikes"]
        asked = numbers_in(text.upper())
        rows = Bike.objects.filter(stock_no__in=asked)
        self.chosen = all_found(asked, rows, lambda bike: (bike.stock_no,))
        return text


class PartLabelForm(LabelForm[Part]):
    """Labels of parts or their shelves: by code or article number, or all of one shelf."""

    parts = forms.CharField(
        label="Codes or article numbers",
        required=False,
        max_length=MOST_TEXT,
        help_text="One a line, or between commas.",
        widget=forms.Textarea(attrs={"rows": 4}),
    )
    place = forms.CharField(
        label="Shelf place", required=False, max_length=40, help_text="All that lies there."
    )
    field_order = ("parts", "place", "size", "copies", "first")

    def clean(self) -> dict[str, Any]:
        """Find the parts."""
        text = self.cleaned_data.get("parts", "")
        place = self.cleaned_data.get("place", "")
        if not text and not place:
            self.add_error("parts", "Write codes or article numbers, or a shelf place.")
        try:
            self.chosen = [*_parts_named(text), *_parts_at(place)]
        except ValidationError as error:
            self.add_error("parts", error)
        self.chosen = list(dict.fromkeys(self.chosen))
        return super().clean()


def _parts_named(text: str) -> list[Part]:
    """Return the parts of these codes and article numbers. Raises ValidationError."""
    asked = [_as_kept(each) for each in numbers_in(text)]
    wanted = Q(gtin__in=asked)
    for each in asked:
        wanted |= Q(code__iexact=each)
    rows = Part.objects.filter(wanted) if asked else Part.objects.none()
    return all_found(asked, rows, lambda part: (part.code, part.gtin))


def _as_kept(text: str) -> str:
    """Return an article number as it is kept, any other text as it is."""
    try:
        return normal_gtin(text)
    except ValidationError:
        return text


def _parts_at(place: str) -> list[Part]:
    """Return the parts in use at a shelf place. Raises ValidationError where there are none."""
    if not place:
        return []
    found = list(Part.objects.filter(place__iexact=place, active=True))
    if not found:
        raise ValidationError(f"Nothing lies at “{place}”.")
    return found
