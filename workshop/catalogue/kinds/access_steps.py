"""Access steps in the catalogue."""

from __future__ import annotations

from typing import Any

from django import forms

from workshop.catalogue.forms import CatalogueForm, Figures
from workshop.catalogue.registry import Column, Group, Kind, Shape
from workshop.core.access import AccessError, closure
from workshop.labour.models import AccessStep
from workshop.labour.selectors import access_steps, core_step


class AccessStepForm(CatalogueForm):
    """Work to reach something, with the steps that come first."""

    class Meta(Figures):
        model = AccessStep
        fields = ("name", "minutes", "band", "needs")
        widgets = {"needs": forms.CheckboxSelectMultiple}
        labels = {"band": "Skill band", "needs": "Comes after"}
        help_texts = {
            "minutes": "For both ways, out and in again.",
            "needs": "Steps that must be done first: the sprockets come off once the wheel is out.",
        }

    def clean(self) -> dict[str, Any]:
        """See that no step comes after itself, by whatever way round."""
        data = super().clean()
        if data.get("needs") is not None and self.instance.pk and data.get("name"):
            steps = access_steps()
            needs = frozenset(each.code for each in data["needs"])
            own = core_step(self.instance)
            steps[own.code] = type(own)(own.code, own.name, own.minutes, own.band, needs)
            try:
                closure([own.code], steps)
            except AccessError as error:
                self.add_error("needs", str(error))
        return data


KIND = Kind(
    slug="access-steps",
    one="access step",
    many="Access steps",
    group=Group.WORK,
    order=30,
    how=(
        "Getting at things: wheel out, cranks off. Jobs that share a step are charged for it "
        "once. The minutes are for out and in."
    ),
    model=AccessStep,
    rows=lambda: AccessStep.objects.select_related("band"),
    form=AccessStepForm,
    columns=(
        Column("name", "Access step"),
        Column("minutes", "Minutes", Shape.NUMBER),
        Column("band__name", "Skill band"),
    ),
    search=("name", "code"),
    narrow=("band",),
)
