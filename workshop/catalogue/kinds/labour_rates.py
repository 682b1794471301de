"""Labour rates in the catalogue."""

from __future__ import annotations

from typing import Any

from workshop.catalogue.forms import CatalogueForm, Figures
from workshop.catalogue.kinds.dated import check_start, in_force
from workshop.catalogue.registry import Column, Group, Kind, Shape
from workshop.labour.models import LabourRate


class LabourRateForm(CatalogueForm):
    """What an hour of a band costs the customer and the shop from a day on."""

    class Meta(Figures):
        model = LabourRate
        fields = ("band", "charged_net", "cost_net", "valid_from")
        labels = {"band": "Skill band"}
        help_texts = {
            "charged_net": "What the customer pays, without VAT.",
            "cost_net": "Wages with their on-costs.",
        }

    def clean(self) -> dict[str, Any]:
        """Check the price and the day."""
        data = super().clean()
        charged = data.get("charged_net")
        if charged is not None and charged <= 0:
            self.add_error("charged_net", "An hour is charged at more than nothing.")
        if data.get("band"):
            check_start(self, LabourRate.objects.filter(band=data["band"]))
        return data


KIND = Kind(
    slug="labour-rates",
    one="labour rate",
    many="Labour rates",
    group=Group.MONEY,
    order=10,
    how=(
        "Money an hour for each skill band. To change one, add a new rate with the day it holds "
        "from: quotes priced before keep theirs."
    ),
    model=LabourRate,
    rows=lambda: LabourRate.objects.select_related("band"),
    form=LabourRateForm,
    columns=(
        Column("band__name", "Skill band"),
        Column("valid_from", "Valid from", Shape.DATE),
        Column("charged_net", "Charged an hour, net", Shape.MONEY),
        Column("cost_net", "Cost an hour", Shape.MONEY),
    ),
    search=("band__name",),
    narrow=("band",),
    costs=("cost_net",),
    closed=in_force,
)
