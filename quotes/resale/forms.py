"""The form that takes a comparable: on its page, and row by row for an import."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django import forms
from django.utils import timezone

from inventory.core.sheets import runs_as_formula
from inventory.formfields import PriceField, use_currency
from quotes.resale.models import (
    LONGEST_SHELF_DAYS,
    Comparable,
    Grade,
    PriceKind,
    likeness_key,
)
from quotes.resale.selectors.twins import twin_of
from workshop.bikes.models import EARLIEST_YEAR, Bike, Frame
from workshop.shop.models import Shop

EARLIEST_SEEN = dt.date(1990, 1, 1)
OLDEST = 150
DATE_FORMATS = ("%Y-%m-%d", "%d/%m/%Y", "%d.%m.%Y", "%d-%m-%Y")
TEXTS = ("make", "model", "source")
FIELDS = (
    "make",
    "model",
    "frame",
    "maker_year",
    "condition",
    "price",
    "kind",
    "seen_on",
    "days_on_shelf",
    "source",
)
WHOLE = {"invalid": "Write whole figures only."}


class ComparableForm(forms.Form):
    """What is known of a comparable; ``facts()`` goes to the verbs."""

    make = forms.CharField(label="Make", max_length=60)
    model = forms.CharField(label="Model", max_length=80, required=False)
    frame = forms.ChoiceField(
        label="Frame",
        choices=Frame.choices,
        widget=forms.RadioSelect,
        error_messages={"invalid_choice": "Write “folding” or “not folding”."},
    )
    maker_year = forms.IntegerField(
        label="Maker’s year",
        required=False,
        help_text="The year or the age: one is enough.",
        error_messages=WHOLE,
        widget=forms.TextInput,
    )
    age = forms.IntegerField(
        label="Its age then, in years",
        required=False,
        help_text="On the day the price was seen.",
        min_value=0,
        max_value=OLDEST,
        error_messages=WHOLE,
        widget=forms.TextInput,
    )
    condition = forms.TypedChoiceField(
        label="Condition",
        choices=sorted(Grade.choices, reverse=True),
        coerce=int,
        widget=forms.RadioSelect,
        error_messages={"invalid_choice": "Write a grade from 1 (poor) to 5 (as new)."},
    )
    price = PriceField(label="Price", help_text="Gross: what the buyer pays.")
    kind = forms.ChoiceField(
        label="Asked or sold",
        choices=PriceKind.choices,
        widget=forms.RadioSelect,
        error_messages={"invalid_choice": "Write “asked” or “sold”."},
    )
    seen_on = forms.DateField(
        label="Seen on",
        input_formats=DATE_FORMATS,
        widget=forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"}),
        error_messages={"invalid": "This is no date. Write it as 2026-03-14 or 14/03/2026."},
    )
    days_on_shelf = forms.IntegerField(
        label="Days on the shelf",
        required=False,
        min_value=0,
        max_value=LONGEST_SHELF_DAYS,
        error_messages=WHOLE,
        widget=forms.TextInput,
        help_text="From first offered until sold, where it is known.",
    )
    source = forms.CharField(
        label="Where it was seen",
        max_length=200,
        required=False,
        help_text="In your own words: the window two doors down, the Sunday market.",
    )

    def __init__(self, *args: Any, shop: Shop, **kwargs: Any) -> None:
        """Take prices in the shop's currency, and figures from a phone's keys for figures."""
        super().__init__(*args, **kwargs)
        use_currency(self, shop.currency, shop.locale)
        for field in self.fields.values():
            field.error_messages["required"] = "This is missing. Fill it in."
        for name in ("maker_year", "age", "days_on_shelf"):
            self.fields[name].widget.attrs["inputmode"] = "numeric"

    def clean_make(self) -> str:
        """Return the make, which must hold a letter or figure to be found by."""
        make: str = self.cleaned_data["make"]
        if not likeness_key(make):
            raise forms.ValidationError("Write the make in letters or figures.")
        return make

    def clean_price(self) -> object:
        """Return the price, above zero."""
        price = self.cleaned_data["price"]
        if price is not None and price <= 0:
            raise forms.ValidationError("A price is above zero. Leave the row out if it is free.")
        return price

    def clean_seen_on(self) -> dt.date:
        """Return the day, neither to come nor of another age."""
        day: dt.date = self.cleaned_data["seen_on"]
        if day > timezone.localdate():
            raise forms.ValidationError("This day is still to come. Check the date.")
        if day < EARLIEST_SEEN:
            raise forms.ValidationError(
                f"Prices from before {EARLIEST_SEEN.year} say nothing today. Check the date."
            )
        return day

    def clean(self) -> dict[str, Any]:
        """Check what depends on more than one field, and keep formulas out of texts."""
        data = self.cleaned_data
        for name in TEXTS:
            if runs_as_formula(data.get(name, "")):
                self.add_error(
                    name,
                    f"It begins with “{data[name].lstrip()[0]}”, which a spreadsheet takes for "
                    "a formula. Begin with a letter or figure.",
                )
        if "maker_year" in data and "age" in data and "seen_on" in data:
            self._settle_year(data)
        return data

    def _settle_year(self, data: dict[str, Any]) -> None:
        """Work the maker's year out of the age where only that is known."""
        year, age, seen = data["maker_year"], data["age"], data["seen_on"].year
        if year is None and age is None:
            self.add_error("maker_year", "Write the maker’s year, or the age in years.")
        elif year is None:
            data["maker_year"] = seen - age
        elif not EARLIEST_YEAR <= year <= seen:
            self.add_error(
                "maker_year", f"Write a year from {EARLIEST_YEAR} to {seen}, when it was seen."
            )
        elif age is not None and abs(seen - year - age) > 1:
            self.add_error("age", f"A bike of {year} was {seen - year} in {seen}. Correct one.")

    def facts(self) -> dict[str, Any]:
        """Return the fields of the comparable."""
        return {name: self.cleaned_data[name] for name in FIELDS}


class EnterForm(ComparableForm):
    """The form on a page: it asks before the same price is entered twice."""

    again = forms.BooleanField(
        label="It is another bike: keep both", required=False, widget=forms.HiddenInput
    )

    def __init__(self, *args: Any, comparable: Comparable | None = None, **kwargs: Any) -> None:
        """Show the comparable that is changed."""
        self.comparable = comparable
        if comparable:
            kwargs["initial"] = {name: getattr(comparable, name) for name in FIELDS}
        super().__init__(*args, **kwargs)

    def clean(self) -> dict[str, Any]:
        """Refuse a twin of a comparable that is here, unless told to keep both."""
        data = super().clean()
        if not self.errors and not data["again"] and twin_of(self.facts(), self.comparable):
            self.fields["again"].widget = forms.CheckboxInput()
            self.add_error(
                "again",
                "This price is here already: same bike, condition, day and price. "
                "Tick this if it is another bike, else cancel.",
            )
        return data


class DropForm(forms.Form):
    """Why a comparable is left out for a bike."""

    reason = forms.CharField(
        label="Why it is no guide",
        max_length=200,
        help_text="Such as: damaged; sold to a friend; another equipment; mistaken for a new one.",
    )


class SupposeForm(forms.Form):
    """The condition that the bike is supposed to be sold in."""

    condition = forms.TypedChoiceField(
        label="Sold in condition", choices=sorted(Grade.choices, reverse=True), coerce=int
    )


def like(bike: Bike) -> dict[str, Any]:
    """Return what a comparable of a bike begins with."""
    return {"make": bike.make, "model": bike.model, "frame": bike.frame}
