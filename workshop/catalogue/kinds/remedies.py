"""Remedies in the catalogue, with their operations and parts."""

from __future__ import annotations

from typing import Any

from django import forms
from django.forms import inlineformset_factory

from inventory.history import Entry, history_of
from inventory.search.choosing import PartField
from workshop.catalogue.forms import (
    MOST_EXTRA_ROWS,
    MOST_ROWS,
    CatalogueForm,
    Figures,
    RowSet,
    brakes_field,
    frames_field,
    gears_field,
    kept,
    take_figures,
)
from workshop.catalogue.registry import Column, Group, Kind, Shape
from workshop.labour.models import Operation, Remedy, RemedyOperation, RemedyPart
from workshop.shop.models import Shop


class RemedyForm(CatalogueForm):
    """A way to cure a finding."""

    frames = frames_field()
    brakes = brakes_field()
    gears = gears_field()

    class Meta(Figures):
        model = Remedy
        fields = ("name", "kind", "words", "frames", "brakes", "gears", "active")
        widgets = {"kind": forms.RadioSelect, "words": forms.Textarea(attrs={"rows": 2})}
        help_texts = {"words": "What the customer reads."}


class StepRows(RowSet):
    """The operations of a remedy."""

    heading = "Operations"
    sources = {"operation": Operation.objects.all()}


class PartRowForm(forms.ModelForm):  # type: ignore[type-arg] # not subscriptable at run time
    """A part of a remedy, by its name or code."""

    part = PartField(label="part")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        """Begin with the part itself, which its row was read with."""
        super().__init__(*args, **kwargs)
        if self.instance.pk:
            self.initial["part"] = self.instance.part


class PartRows(RowSet):
    """The parts of a remedy, each with the operation that fits it."""

    heading = "Parts"
    offers_parts = True
    sources = {"operation": Operation.objects.all()}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        """Read each row with its part."""
        rows = RemedyPart.objects.select_related("part")
        super().__init__(*args, queryset=rows, **kwargs)


STEPS = inlineformset_factory(
    Remedy,
    RemedyOperation,
    formset=StepRows,
    fields=("operation", "quantity", "order"),
    extra=MOST_EXTRA_ROWS,
    max_num=MOST_ROWS,
    absolute_max=MOST_ROWS,
    validate_max=True,
)
PARTS = inlineformset_factory(
    Remedy,
    RemedyPart,
    form=PartRowForm,
    formset=PartRows,
    fields=("part", "quantity", "operation"),
    labels={"operation": "fitted by"},
    extra=MOST_EXTRA_ROWS,
    formfield_callback=take_figures,
    max_num=MOST_ROWS,
    absolute_max=MOST_ROWS,
    validate_max=True,
)


def check(form: Any, formsets: Any) -> None:  # noqa: ANN401 - as the registry calls it
    """See that there is an operation, and that each part is fitted by one of them."""
    steps, parts = formsets
    operations = {row["operation"] for row in kept(steps) if row.get("operation")}
    if not operations:
        form.add_error(None, "A remedy needs at least one operation. Choose one below.")
    for row in kept(parts):
        if row.get("operation") and row["operation"] not in operations:
            form.add_error(
                None,
                f"“{row['part']}” is fitted by “{row['operation']}”, which is not among the "
                "operations above. Add that operation, or choose another.",
            )


def history(remedy: Remedy, shop: Shop, hide: Any) -> tuple[Entry, ...]:  # noqa: ANN401 - names
    """Return what was changed on the remedy and on its rows, newest first."""
    return history_of(
        remedy, shop, hide=hide, rows_of=(("remedy", RemedyOperation), ("remedy", RemedyPart))
    )


KIND = Kind(
    slug="remedies",
    one="remedy",
    many="Remedies",
    group=Group.WORK,
    order=10,
    how=(
        "Ways to cure a fault: operations and the parts they fit. Which faults a remedy cures, "
        "and in what order it is proposed, stands with the fault."
    ),
    model=Remedy,
    rows=Remedy.objects.all,
    form=RemedyForm,
    columns=(
        Column("name", "Remedy"),
        Column("kind", "How deep"),
        Column("words", "In plain words"),
        Column("active", "In use", Shape.YES_NO),
    ),
    search=("name", "code", "words"),
    narrow=("kind", "active"),
    formsets=(STEPS, PARTS),  # type: ignore[arg-type] # the form of one is our own
    check=check,
    history=history,
)
