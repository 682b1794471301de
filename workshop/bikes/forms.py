"""The form that books a bike in and changes it, with who brings it on the same page."""

from __future__ import annotations

from typing import Any, cast

from django import forms
from django.core.files.base import ContentFile
from django.urls import reverse
from django.utils import timezone
from django.utils.html import format_html

from workshop.bikes.models import EARLIEST_YEAR, Bike, Brake, Purpose, normal_frame_number
from workshop.bikes.photos import PhotoError, clean_photo
from workshop.bikes.selectors import bike_with_frame_number
from workshop.customers.choosing import OwnerFields
from workshop.customers.models import Customer
from workshop.customers.selectors import customers_with

RIM_SMALLEST_MM, RIM_LARGEST_MM = 100, 700
LONGEST_KEY = 40


class BikeForm(OwnerFields, forms.ModelForm):  # type: ignore[type-arg] # not at run time
    """A bike's facts and who brings it; ``facts()`` and ``brought_by`` go to the verbs."""

    photo = forms.FileField(
        label="Photo",
        help_text="The whole bike, from the side of the chain.",
        required=False,
        allow_empty_file=True,
        widget=forms.FileInput(attrs={"accept": "image/jpeg,image/png,image/webp"}),
    )
    brought_by: Customer | None = None

    class Meta:
        model = Bike
        fields = (
            "purpose",
            "asking_price",
            "make",
            "model",
            "colour",
            "maker_year",
            "frame_number",
            "frame_number_missing",
            "frame",
            "brake",
            "rear_brake",
            "gears",
            "bead_seat_mm",
            "use",
            "has_rack",
            "has_mudguards",
            "has_lights",
            "note",
        )
        widgets = {
            "purpose": forms.RadioSelect,
            "frame": forms.RadioSelect,
            "brake": forms.RadioSelect,
            "gears": forms.RadioSelect,
            "use": forms.RadioSelect,
            "frame_number": forms.TextInput(
                attrs={"autocomplete": "off", "autocapitalize": "characters", "spellcheck": "false"}
            ),
            "note": forms.Textarea(attrs={"rows": 3}),
        }
        labels = {"bead_seat_mm": "Rim size", "rear_brake": "Brake behind, if of another kind"}
        error_messages = {
            "frame_number": {"required": "Write the frame number, or below it why there is none."}
        }
        help_texts = {
            "asking_price": "What the seller asks, if they named a price.",
            "maker_year": "Four figures; empty where nobody knows.",
            "frame_number": "As it is stamped: under the bottom bracket or on the seat tube.",
            "frame_number_missing": "Where there is none: ground off, painted over, never had one.",
            "bead_seat_mm": "The last figure on the tyre: 406 of 37-406.",
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        """Show the customer of a bike that is changed, and those found for what was typed."""
        super().__init__(*args, **kwargs)
        if self.instance.pk:
            self.initial.setdefault("customer", self.instance.customer_id)
        kinds = Brake.choices
        cast("forms.ChoiceField", self.fields["rear_brake"]).choices = [("", "as in front"), *kinds]
        self.fields["new_name"].required = not self["customer"].value()
        self.fields["frame_number"].required = not self["frame_number_missing"].value()
        self.offer_customers(customers_with(str(self["find"].value() or "")))
        self.fields["find"].widget.attrs |= {
            "hx-get": reverse("bikes:book_in"),
            "hx-trigger": "input changed delay:300ms",
            "hx-include": "#customer-choices",
            "hx-target": "#customer-choices",
            "hx-swap": "outerHTML",
        }

    def clean_photo(self) -> ContentFile[bytes] | None:
        """Return the photo checked and shrunk."""
        upload = self.cleaned_data["photo"]
        try:
            return clean_photo(upload) if upload else None
        except PhotoError as error:
            raise forms.ValidationError(str(error)) from error

    def clean_maker_year(self) -> int | None:
        """Return the year, which lies neither in the future nor before there were bikes."""
        year: int | None = self.cleaned_data["maker_year"]
        this_year = timezone.localdate().year
        if year is not None and not EARLIEST_YEAR <= year <= this_year:
            where = "in the future" if year > this_year else f"before {EARLIEST_YEAR}"
            raise forms.ValidationError(
                f"{year} lies {where}. Write the year the bike was made in four figures, "
                "or leave it empty."
            )
        return year

    def clean_bead_seat_mm(self) -> int | None:
        """Return the rim's bead seat diameter, within what bikes have."""
        return plausible_rim(self.cleaned_data["bead_seat_mm"])

    def clean_frame_number(self) -> str:
        """Return the frame number, which no other bike here has."""
        number: str = self.cleaned_data["frame_number"]
        key = normal_frame_number(number)
        if number and not 0 < len(key) <= LONGEST_KEY:
            raise forms.ValidationError(
                f"“{number}” is no frame number: write up to {LONGEST_KEY} letters and figures."
            )
        twin = bike_with_frame_number(number, other_than=self.instance)
        if twin is not None:
            raise already_here(twin)
        return number

    def clean(self) -> dict[str, Any]:
        """Check what depends on more than one field."""
        super().clean()
        data = self.cleaned_data
        if "customer" in data:
            self.brought_by = self.owner()
        number, missing = data.get("frame_number"), data.get("frame_number_missing")
        if number and missing:
            self.add_error(
                "frame_number_missing", "There is a frame number. Empty this, or the number."
            )
        elif number == "" and missing == "":
            self.add_error("frame_number", "Write the frame number, or below it why there is none.")
        if data.get("purpose") == Purpose.REPAIR and data.get("asking_price") is not None:
            self.add_error(
                "asking_price",
                "A bike brought for repair is not for sale. Empty this, or choose “offered to us”.",
            )
        return data

    def facts(self) -> dict[str, Any]:
        """Return the bike's fields as typed, for the verbs."""
        return {name: self.cleaned_data[name] for name in self._meta.fields or ()}


def plausible_rim(size_mm: int | None) -> int | None:
    """Return a bead seat diameter in mm.

    Raises:
        ValidationError: no bike has such a one.
    """
    if size_mm is not None and not RIM_SMALLEST_MM <= size_mm <= RIM_LARGEST_MM:
        raise forms.ValidationError(
            f"{size_mm} mm is no rim size. Read the last figure on the tyre, such as 406 or 622."
        )
    return size_mm


def already_here(bike: Bike) -> forms.ValidationError:
    """Return the error for a frame number that another bike has, with the way to that one."""
    return forms.ValidationError(
        format_html(
            'This frame number is already here as <a href="{}">{}</a> ({}). '
            "Open it, or check the number.",
            reverse("bikes:detail", args=(bike.pk,)),
            str(bike),
            bike.get_stage_display(),
        )
    )
