"""What this room keeps in the catalogue: the sizes of labels in the printer."""

from __future__ import annotations

from workshop.catalogue.forms import CatalogueForm, Figures
from workshop.catalogue.loading.kinds import Kind as FileKind
from workshop.catalogue.registry import Column, Group, Kind, Shape
from workshop.labels.models import LabelSize

MEASURES = (
    *("sheet_width", "sheet_height", "width", "height", "columns", "rows"),
    *("left", "top", "across", "down"),
)
LABEL_SIZE = FileKind(LabelSize, ("code", "name", *MEASURES, "order"))


class LabelSizeForm(CatalogueForm):
    """A sheet of labels, or single ones off a roll."""

    class Meta(Figures):
        model = LabelSize
        fields = ("name", *MEASURES, "order", "active")
        help_texts = {
            "sheet_width": "All measures are in mm. Single labels: the label's own width.",
            "across": "From the left edge of one label to that of the next.",
            "down": "From the upper edge of one label to that of the next.",
        }


KIND = Kind(
    slug="label-sizes",
    one="label size",
    many="Label sizes",
    group=Group.PAPER,
    order=80,
    how=(
        "Measure a sheet with a ruler, in mm. For single labels off a roll the sheet is the label: "
        "one side by side, one below the other, and noughts for the rest."
    ),
    model=LabelSize,
    rows=LabelSize.objects.all,
    form=LabelSizeForm,
    columns=(
        Column("name", "Name"),
        Column("width", "Width, mm", Shape.NUMBER),
        Column("height", "Height, mm", Shape.NUMBER),
        Column("active", "In use", Shape.YES_NO),
    ),
    search=("name", "code"),
    narrow=("active",),
)
