"""Parts in the catalogue."""

from __future__ import annotations

from typing import Any

from django import forms

from inventory.formfields import PriceField
from inventory.parts.models import Part
from workshop.catalogue.forms import CatalogueForm, Figures
from workshop.catalogue.registry import Column, Group, Kind, Shape
from workshop.labour.models import RemedyPart

COSTS = ("cost_low_net", "cost_net", "cost_high_net")


class PartForm(CatalogueForm):
    """An article with its cost and selling price."""

    class Meta(Figures):
        model = Part
        fields = (
            "name",
            "unit",
            "price_net",
            "cost_low_net",
            "cost_net",
            "cost_high_net",
            "vat_code",
            "safety_critical",
            "size_of",
            "note",
            "active",
        )
        widgets = {"vat_code": forms.RadioSelect}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        """Take fractions of a penny: small things are bought by the hundred."""
        super().__init__(*args, **kwargs)
        of = self.fields["size_of"]
        if isinstance(of, forms.ModelChoiceField):
            named = RemedyPart.objects.values("part")
            of.queryset = Part.objects.filter(pk__in=named, size_of=None)
            of.empty_label = "nothing: it stands for itself"
        for field in self.fields.values():
            if isinstance(field, PriceField):
                field.fine = True

    def clean(self) -> dict[str, Any]:
        """Check that the cost at best, likely and at worst rise in that order."""
        data = super().clean()
        self.in_order(*COSTS, words="This is less than the cost before it. Put them in order.")
        return data


KIND = Kind(
    slug="parts",
    one="part",
    many="Parts",
    group=Group.MONEY,
    order=40,
    how=(
        "What is fitted, with cost and selling price. A new price holds for drafts priced from "
        "now on; sent quotes keep theirs. A part no longer fitted is taken out of use."
    ),
    model=Part,
    rows=Part.objects.all,
    form=PartForm,
    columns=(
        Column("name", "Part"),
        Column("unit", "Unit"),
        Column("price_net", "Selling price, net", Shape.MONEY),
        Column("cost_net", "Cost, net", Shape.MONEY),
        Column("vat_code", "VAT"),
        Column("active", "In use", Shape.YES_NO),
    ),
    search=("name", "code", "note"),
    narrow=("vat_code", "safety_critical", "active"),
    costs=COSTS,
)
