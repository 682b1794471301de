"""What may hide in a bike, in the catalogue: on its screens, and in its files."""

from __future__ import annotations

from typing import Any

from django import forms

from inventory.formfields import PercentField
from quotes.deciding.models import HiddenRisk
from workshop.catalogue.forms import (
    CatalogueForm,
    Figures,
    brakes_field,
    frames_field,
    gears_field,
    grouped,
    uses_field,
)
from workshop.catalogue.loading.kinds import Kind as FileKind
from workshop.catalogue.loading.kinds import Links
from workshop.catalogue.registry import Column, Group, Kind, Shape
from workshop.inspections.models import Fault

COSTS = ("cost_low_net", "cost_net", "cost_high_net")


class HiddenRiskForm(CatalogueForm):
    """A fault that an inspection cannot see."""

    frames = frames_field()
    brakes = brakes_field()
    gears = gears_field()
    uses = uses_field()

    class Meta(Figures):
        model = HiddenRisk
        fields = (
            *("words", "probability", "cost_low_net", "cost_net", "cost_high_net"),
            *("checkpoint", "faults", "unless", "age_from", "age_below"),
            *("frames", "brakes", "gears", "uses", "source", "active"),
        )
        field_classes = {"probability": PercentField}
        widgets = {
            "faults": forms.CheckboxSelectMultiple,
            "unless": forms.CheckboxSelectMultiple,
        }
        labels = {"probability": "How probable"}
        help_texts = {
            "probability": "On a bike of an ordinary life; at most 60 %.",
            "cost_net": "At the shop’s own cost, if it is there.",
            "checkpoint": "None: whatever was found.",
            "faults": "None ticked: whatever was found.",
            "unless": "What is found hides no more: its cost is in the quote then.",
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        """Show the faults under their checkpoints, read once for both fields."""
        super().__init__(*args, **kwargs)
        choices = grouped(Fault.objects.select_related("checkpoint"), "checkpoint")
        for name in ("faults", "unless"):
            field = self.fields[name]
            if isinstance(field, forms.ModelMultipleChoiceField):
                field.choices = choices

    def clean(self) -> dict[str, Any]:
        """See that costs and ages go up."""
        data = super().clean()
        self.in_order(*COSTS, words="Costs go up from best to worst.")
        return data

    def code_words(self) -> str:
        """Return the words that the code is made of."""
        return str(self.cleaned_data.get("words", ""))


KIND = Kind(
    slug="hidden-risks",
    one="hidden fault",
    many="What may hide",
    group=Group.WALK,
    order=65,
    how=(
        "Faults that no walk can see, such as rust under the paint or a seized seat post. The "
        "buy-in decision reckons with each by its probability and cost; where the fault itself "
        "was found its cost is in the quote instead."
    ),
    model=HiddenRisk,
    rows=HiddenRisk.objects.all,
    form=HiddenRiskForm,
    columns=(
        Column("words", "What may come to light"),
        Column("probability", "Probability", Shape.PERCENT),
        Column("cost_net", "Cost", Shape.MONEY),
        Column("active", "In use", Shape.YES_NO),
    ),
    search=("words", "code", "source"),
    narrow=("active",),
    costs=COSTS,
)

HIDDEN_RISK = FileKind(
    HiddenRisk,
    (
        *("code", "words", "probability", "cost_low_net", "cost_net", "cost_high_net"),
        *("age_from", "age_below", "frames", "brakes", "gears", "uses", "source"),
    ),
    refs={"checkpoint": "checkpoint"},
    links={
        "faults": Links(HiddenRisk.faults.through, "hiddenrisk", {"fault": "fault"}, "fault"),
        "unless": Links(HiddenRisk.unless.through, "hiddenrisk", {"fault": "fault"}, "fault"),
    },
)
