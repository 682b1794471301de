"""What this room keeps in the catalogue: what is checked before a bike leaves."""

from __future__ import annotations

from workshop.catalogue.forms import (
    CatalogueForm,
    Figures,
    brakes_field,
    equipment_field,
    frames_field,
    gears_field,
)
from workshop.catalogue.loading.kinds import Kind as FileKind
from workshop.catalogue.registry import Column, Group, Kind, Shape
from workshop.jobcards.models import ReleaseItem

RELEASE_ITEM = FileKind(
    ReleaseItem,
    (*("code", "name", "how", "order"), *("frames", "brakes", "gears", "equipment"), "source"),
)


class ReleaseItemForm(CatalogueForm):
    """One thing that is looked at before a bike leaves."""

    frames = frames_field()
    brakes = brakes_field()
    gears = gears_field()
    equipment = equipment_field()

    class Meta(Figures):
        model = ReleaseItem
        fields = (
            *("name", "how", "order", "frames", "brakes", "gears", "equipment"),
            *("source", "active"),
        )
        help_texts = {"source": "The standard, the law or the custom that asks for it."}


KIND = Kind(
    slug="release-items",
    one="release item",
    many="Release check",
    group=Group.WALK,
    order=70,
    how=(
        "What is looked at and signed for before a bike leaves, by kind of bike. The bike can’t "
        "be released before all of it is signed."
    ),
    model=ReleaseItem,
    rows=ReleaseItem.objects.all,
    form=ReleaseItemForm,
    columns=(
        Column("order", "Order", Shape.NUMBER),
        Column("name", "What is checked"),
        Column("active", "In use", Shape.YES_NO),
    ),
    search=("name", "code", "how"),
    narrow=("active",),
)
