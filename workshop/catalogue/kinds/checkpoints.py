"""Checkpoints in the catalogue."""

from __future__ import annotations

from django import forms

from workshop.catalogue.forms import (
    CatalogueForm,
    Figures,
    brakes_field,
    equipment_field,
    frames_field,
    gears_field,
)
from workshop.catalogue.registry import Column, Group, Kind, Shape
from workshop.inspections.models import Checkpoint

SHORT = forms.Textarea(attrs={"rows": 3})


class CheckpointForm(CatalogueForm):
    """A place to examine: how to test it, what fools the test, which bikes have it."""

    frames = frames_field()
    brakes = brakes_field()
    gears = gears_field()
    equipment = equipment_field()

    class Meta(Figures):
        model = Checkpoint
        fields = (
            "name",
            "zone",
            "order",
            "how_to_test",
            "what_fools",
            "how_to_isolate",
            "caution",
            "frames",
            "brakes",
            "gears",
            "equipment",
            "folding_x",
            "folding_y",
            "diamond_x",
            "diamond_y",
            "active",
        )
        widgets = dict.fromkeys(("how_to_test", "what_fools", "how_to_isolate", "caution"), SHORT)
        help_texts = {
            "order": "The walk follows these numbers; leave room between them.",
            "folding_x": "Place on the drawing, 0 to 640 from the left; empty: not drawn.",
            "folding_y": "0 to 420 from the top.",
        }


KIND = Kind(
    slug="checkpoints",
    one="checkpoint",
    many="Checkpoints",
    group=Group.WALK,
    order=10,
    how=(
        "The places of the walk, in order, with how to test each and what fools the test. "
        "Inspections under way follow a change at once; what is recorded stays."
    ),
    model=Checkpoint,
    rows=Checkpoint.objects.all,
    form=CheckpointForm,
    columns=(
        Column("name", "Checkpoint"),
        Column("order", "Order", Shape.NUMBER),
        Column("zone", "Part of the walk"),
        Column("active", "In use", Shape.YES_NO),
    ),
    search=("name", "code", "how_to_test", "what_fools"),
    narrow=("zone", "active"),
)
