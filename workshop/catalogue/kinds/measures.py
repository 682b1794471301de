"""Measures in the catalogue."""

from __future__ import annotations

from typing import Any

from django import forms

from workshop.catalogue.forms import CatalogueForm, Figures
from workshop.catalogue.registry import Column, Group, Kind, Shape
from workshop.inspections.models import Measure

MOST_DECIMALS = 3


class MeasureForm(CatalogueForm):
    """Something to read off a gauge, with what is plausible."""

    class Meta(Figures):
        model = Measure
        fields = (
            "checkpoint",
            "name",
            "unit",
            "plausible_min",
            "plausible_max",
            "decimals",
            "gauge",
            "help",
            "fills",
            "order",
        )
        help_texts = {"plausible_min": "A reading outside of these is refused as a slip."}

    def clean_decimals(self) -> int:
        """Return how many decimals a reading has, as far as they are kept."""
        decimals: int = self.cleaned_data["decimals"]
        if decimals > MOST_DECIMALS:
            raise forms.ValidationError(f"At most {MOST_DECIMALS} decimals are kept.")
        return decimals

    def clean(self) -> dict[str, Any]:
        """Check that the plausible range is one."""
        data = super().clean()
        low, high = data.get("plausible_min"), data.get("plausible_max")
        if low is not None and high is not None and low >= high:
            self.add_error("plausible_max", "This must be more than the lowest plausible value.")
        return data


KIND = Kind(
    slug="measures",
    one="measure",
    many="Measures",
    group=Group.WALK,
    order=40,
    how="What is read off a gauge at a checkpoint, in which unit, and what is plausible.",
    model=Measure,
    rows=lambda: Measure.objects.select_related("checkpoint"),
    form=MeasureForm,
    columns=(
        Column("name", "Measure"),
        Column("checkpoint__name", "Checkpoint"),
        Column("unit", "Unit"),
        Column("plausible_min", "Not below", Shape.NUMBER),
        Column("plausible_max", "Not above", Shape.NUMBER),
    ),
    search=("name", "code", "checkpoint__name"),
    narrow=("checkpoint",),
)
