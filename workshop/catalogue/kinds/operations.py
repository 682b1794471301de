"""Operations in the catalogue."""

from __future__ import annotations

from typing import Any

from django import forms

from workshop.catalogue.forms import CatalogueForm, Figures
from workshop.catalogue.registry import Column, Group, Kind, Shape
from workshop.labour.models import Operation


class OperationForm(CatalogueForm):
    """A piece of labour with its standard time."""

    class Meta(Figures):
        model = Operation
        fields = (
            "name",
            "minutes_low",
            "minutes",
            "minutes_high",
            "band",
            "access",
            "covers",
            "torque_low_nm",
            "torque_high_nm",
            "torque_source",
            "caution",
        )
        widgets = {"access": forms.CheckboxSelectMultiple, "covers": forms.CheckboxSelectMultiple}
        labels = {"band": "Skill band"}
        help_texts = {
            "minutes": "Without getting at it: that is in the access steps.",
            "covers": "Operations made pointless by this one, as a hub service is by a new wheel.",
        }

    def clean(self) -> dict[str, Any]:
        """Check times, torques and what is made needless."""
        data = super().clean()
        self.in_order(
            "minutes_low",
            "minutes",
            "minutes_high",
            words="This is less than the minutes before it. Put them in order.",
        )
        self.in_order(
            "torque_low_nm", "torque_high_nm", words="This is less than the torque it starts from."
        )
        if data.get("torque_low_nm") is not None and not data.get("torque_source"):
            self.add_error("torque_source", "Say where the torque comes from, such as “our own”.")
        self.check_covers(data)
        return data

    def check_covers(self, data: dict[str, Any]) -> None:
        """See that no two operations make each other needless, and none itself."""
        for other in data.get("covers") or ():
            if other == self.instance:
                self.add_error("covers", "An operation can't make itself needless. Untick it.")
            elif self.instance.pk and other.covers.filter(pk=self.instance.pk).exists():
                self.add_error(
                    "covers",
                    f"“{other}” makes this one needless already. It can't be both ways round.",
                )


KIND = Kind(
    slug="operations",
    one="operation",
    many="Operations",
    group=Group.WORK,
    order=20,
    how=(
        "Pieces of labour with their standard time. A changed time holds for drafts priced from "
        "now on."
    ),
    model=Operation,
    rows=lambda: Operation.objects.select_related("band"),
    form=OperationForm,
    columns=(
        Column("name", "Operation"),
        Column("minutes", "Minutes", Shape.NUMBER),
        Column("band__name", "Skill band"),
        Column("caution", "Caution"),
    ),
    search=("name", "code", "caution"),
    narrow=("band",),
)
