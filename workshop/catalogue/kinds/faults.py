"""Faults in the catalogue, with the remedies that cure them."""

from __future__ import annotations

from typing import Any

from django import forms
from django.forms import inlineformset_factory

from inventory.history import Entry, history_of
from workshop.catalogue.forms import (
    MOST_EXTRA_ROWS,
    MOST_ROWS,
    CatalogueForm,
    Figures,
    RowSet,
)
from workshop.catalogue.registry import Column, Group, Kind, Shape
from workshop.inspections.models import Fault, RemedyOption
from workshop.labour.models import Remedy
from workshop.shop.models import Shop


class FaultForm(CatalogueForm):
    """Something that can be wrong at a checkpoint."""

    class Meta(Figures):
        model = Fault
        fields = (
            "checkpoint",
            "name",
            "words",
            "default_judgement",
            "deal_breaker",
            "importance",
            "order",
            "active",
        )
        widgets = {"words": forms.Textarea(attrs={"rows": 2})}
        help_texts = {
            "words": "What the customer reads.",
            "default_judgement": "Where no rule says otherwise.",
            "deal_breaker": "Ends a buy-in whatever the price.",
            "importance": "Only where it differs from what the judgement gives.",
        }


class OptionRows(RowSet):
    """The remedies of a fault, the one with the lowest rank proposed first."""

    heading = "Remedies"
    sources = {"remedy": Remedy.objects.all()}


OPTIONS = inlineformset_factory(
    Fault,
    RemedyOption,
    formset=OptionRows,
    fields=("remedy", "rank", "from_judgement"),
    extra=MOST_EXTRA_ROWS,
    max_num=MOST_ROWS,
    absolute_max=MOST_ROWS,
    validate_max=True,
)


def history(fault: Fault, shop: Shop, hide: Any) -> tuple[Entry, ...]:  # noqa: ANN401 - names
    """Return what was changed on the fault and on its remedies, newest first."""
    return history_of(fault, shop, hide=hide, rows_of=(("fault", RemedyOption),))


KIND = Kind(
    slug="faults",
    one="fault",
    many="Faults",
    group=Group.WALK,
    order=20,
    how=(
        "What can be wrong at a checkpoint, in the customer's words, and the remedies that cure "
        "it: the lowest rank is proposed first."
    ),
    model=Fault,
    rows=lambda: Fault.objects.select_related("checkpoint"),
    form=FaultForm,
    columns=(
        Column("name", "Fault"),
        Column("checkpoint__name", "Checkpoint"),
        Column("default_judgement", "Judgement", Shape.JUDGEMENT),
        Column("deal_breaker", "Deal-breaker", Shape.YES_NO),
        Column("active", "In use", Shape.YES_NO),
    ),
    search=("name", "code", "words", "checkpoint__name"),
    narrow=("checkpoint", "default_judgement", "deal_breaker", "active"),
    formsets=(OPTIONS,),
    history=history,
)
