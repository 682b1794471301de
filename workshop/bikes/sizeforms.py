"""The form for the sizes of a bike that decide which parts fit it."""

from __future__ import annotations

from typing import Any

from django import forms
from django.db import models
from django.forms import BoundField

from inventory.formfields import FigureField
from workshop.bikes.forms import plausible_rim
from workshop.bikes.models import BikeFit
from workshop.bikes.sizes import how_to
from workshop.bikes.verbs.measure import RIM

GROUPS = (
    ("Wheels and tyres", (RIM, "rim_inner_mm", "widest_tyre_mm")),
    ("Axles", ("front_axle_mm", "front_dropout", "rear_axle_mm", "rear_dropout")),
    ("Brakes", ("pad_shape",)),
    ("Steering", ("steerer_mm", "steerer_kind")),
    ("Bottom bracket", ("shell_width_mm", "shell_thread", "spindle_kind", "spindle_mm")),
    ("Chain", ("chain_speeds", "chain_mm")),
    ("Seat post", ("post_mm",)),
)


def figures(field: models.Field[Any, Any], **kwargs: Any) -> forms.Field | None:
    """Return a size’s form field; figures take a comma for the point."""
    if field.choices:
        kwargs["choices"] = field.get_choices(blank_choice=[("", "not known")])
    if isinstance(field, models.DecimalField):
        kwargs.setdefault("form_class", FigureField)
    return field.formfield(**kwargs)


class SizesForm(forms.ModelForm):  # type: ignore[type-arg] # not subscriptable at run time
    """The sizes of a bike, none of them required."""

    bead_seat_mm = forms.IntegerField(
        label="Rim diameter, mm", required=False, help_text=how_to(RIM)
    )

    class Meta:
        model = BikeFit
        exclude = ("bike",)  # noqa: DJ006 - all sizes, also those to come
        formfield_callback = staticmethod(figures)

    def __init__(self, *args: Any, with_rim: bool = True, **kwargs: Any) -> None:
        """Start from the bike’s sizes; the rim may be asked for elsewhere on the page."""
        super().__init__(*args, **kwargs)
        if with_rim:
            self.initial.setdefault(RIM, self.instance.bike.bead_seat_mm)
        else:
            del self.fields[RIM]
        for field in self.fields.values():
            field.label, _, unit = str(field.label).partition(", ")
            field.widget.attrs["data-unit"] = unit
        self.fields["pad_shape"].widget.attrs |= {"list": "pad-shapes", "autocomplete": "off"}

    def clean_bead_seat_mm(self) -> int | None:
        """Return the rim’s diameter, within what bikes have."""
        return plausible_rim(self.cleaned_data[RIM])

    def clean_pad_shape(self) -> str:
        """Return the shape’s name with single spaces, so that the same name is the same."""
        return " ".join(str(self.cleaned_data["pad_shape"]).split())

    def groups(self) -> list[tuple[str, list[tuple[BoundField, str]]]]:
        """Return the fields with their units under their headings."""
        return [
            (
                legend,
                [
                    (self[name], str(self.fields[name].widget.attrs["data-unit"]))
                    for name in names
                    if name in self.fields
                ],
            )
            for legend, names in GROUPS
        ]

    @property
    def wrong(self) -> bool:
        """Tell whether something in it is wrong, so that it is to be seen."""
        return self.is_bound and bool(self.errors)

    def sizes(self) -> dict[str, Any]:
        """Return what was typed, by name, for the verb."""
        return dict(self.cleaned_data)
