"""VAT rates in the catalogue."""

from __future__ import annotations

from typing import Any

from inventory.formfields import PercentField
from workshop.catalogue.forms import CatalogueForm, Figures
from workshop.catalogue.kinds.dated import check_start, in_force
from workshop.catalogue.registry import Column, Group, Kind, Shape
from workshop.shop.models import VatRate


class VatRateForm(CatalogueForm):
    """A VAT rate from a day on, in per cent on screen."""

    class Meta(Figures):
        model = VatRate
        fields = ("code", "rate", "valid_from", "source")
        field_classes = {"rate": PercentField}
        labels = {"rate": "Rate, %"}
        help_texts = {"source": "The law or the notice that sets it."}

    def clean(self) -> dict[str, Any]:
        """Check the day."""
        data = super().clean()
        if data.get("code"):
            check_start(self, VatRate.objects.filter(code=data["code"]))
        return data

    def code_words(self) -> str:
        """Return nothing: the code is chosen, it is the kind of rate."""
        return ""


KIND = Kind(
    slug="vat-rates",
    one="VAT rate",
    many="VAT rates",
    group=Group.MONEY,
    order=30,
    how=(
        "The rates of your country. When one changes, add the new one with the day it holds "
        "from, even before that day comes."
    ),
    model=VatRate,
    rows=VatRate.objects.all,
    form=VatRateForm,
    columns=(
        Column("code", "Kind"),
        Column("rate", "Rate", Shape.PERCENT),
        Column("valid_from", "Valid from", Shape.DATE),
        Column("source", "Source"),
    ),
    search=("code", "source"),
    narrow=("code",),
    closed=in_force,
)
