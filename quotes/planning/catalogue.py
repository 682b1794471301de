"""Service packages and what goes together, in the catalogue: on its screens, in its files."""

from __future__ import annotations

from typing import Any

from django import forms

from quotes.planning.models import RemedyBond, ServicePackage
from workshop.catalogue.forms import CatalogueForm, Figures, grouped
from workshop.catalogue.loading.kinds import Kind as FileKind
from workshop.catalogue.loading.kinds import Links
from workshop.catalogue.registry import Column, Group, Kind, Shape
from workshop.inspections.models import Fault


class PackageForm(CatalogueForm):
    """A service package."""

    class Meta(Figures):
        model = ServicePackage
        fields = ("name", "remedy", "at_least", "faults", "active")
        widgets = {"faults": forms.CheckboxSelectMultiple}
        help_texts = {
            "remedy": "Its operations and parts stand with the remedy.",
            "at_least": "Two at the least: for one fault its own remedies are there.",
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        """Show the faults under their checkpoints."""
        super().__init__(*args, **kwargs)
        field = self.fields["faults"]
        if isinstance(field, forms.ModelMultipleChoiceField):
            field.choices = grouped(Fault.objects.select_related("checkpoint"), "checkpoint")


class BondForm(CatalogueForm):
    """Two remedies that go together, or do not."""

    class Meta(Figures):
        model = RemedyBond
        fields = ("remedy", "kind", "other", "words", "active")
        labels = {"other": "The other remedy"}
        help_texts = {"words": "What is said where no plan can be found because of it."}

    def code_words(self) -> str:
        """Return the words that the code is made of."""
        data = self.cleaned_data
        remedy, other = data.get("remedy"), data.get("other")
        return f"{remedy.code} {data.get('kind', '')} {other.code}" if remedy and other else ""


PACKAGE_KIND = Kind(
    slug="service-packages",
    one="service package",
    many="Service packages",
    group=Group.WORK,
    order=60,
    how=(
        "A remedy that puts several faults right in one go, such as a wheel service. The cheapest "
        "plan takes it where it costs less than curing each by itself."
    ),
    model=ServicePackage,
    rows=lambda: ServicePackage.objects.select_related("remedy"),
    form=PackageForm,
    columns=(
        Column("name", "Package"),
        Column("remedy", "Its work", sortable=False),
        Column("at_least", "From faults", Shape.NUMBER),
        Column("active", "In use", Shape.YES_NO),
    ),
    search=("name", "code", "remedy__name"),
    narrow=("active",),
)
BOND_KIND = Kind(
    slug="remedy-bonds",
    one="bond of remedies",
    many="What goes together",
    group=Group.WORK,
    order=65,
    how=(
        "Remedies that need each other, such as new sprockets with a new chain, or that never go "
        "together. The cheapest plan keeps to it."
    ),
    model=RemedyBond,
    rows=lambda: RemedyBond.objects.select_related("remedy", "other"),
    form=BondForm,
    columns=(
        Column("remedy", "Remedy", sortable=False),
        Column("kind", "How"),
        Column("other", "The other", sortable=False),
        Column("words", "Why"),
        Column("active", "In use", Shape.YES_NO),
    ),
    search=("remedy__name", "other__name", "words"),
    narrow=("kind", "active"),
)

PACKAGE = FileKind(
    ServicePackage,
    ("code", "name", "at_least"),
    refs={"remedy": "remedy"},
    links={
        "faults": Links(
            ServicePackage.faults.through, "servicepackage", {"fault": "fault"}, "fault"
        )
    },
)
BOND = FileKind(RemedyBond, ("code", "kind", "words"), refs={"remedy": "remedy", "other": "remedy"})
