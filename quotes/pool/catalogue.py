"""What this room keeps in the catalogue: rules of the pool, and the words on invoices."""

from __future__ import annotations

import datetime as dt
from typing import Any

from quotes.pool.models import MarginLegend, PoolRule
from quotes.pool.words import in_words
from workshop.catalogue.forms import CatalogueForm, Figures
from workshop.catalogue.kinds.dated import check_start
from workshop.catalogue.loading.kinds import Kind as FileKind
from workshop.catalogue.registry import Column, Group, Kind, Shape

POOL_RULES_IN_FILES = FileKind(
    PoolRule,
    ("valid_from", "item_limit", "carry", "waived_up_to", "source"),
    key=("valid_from",),
)
LEGENDS_IN_FILES = FileKind(MarginLegend, ("valid_from", "words", "source"), key=("valid_from",))


class PoolRuleForm(CatalogueForm):
    """What the law says of the pool from a day on."""

    class Meta(Figures):
        model = PoolRule
        fields = ("valid_from", "item_limit", "carry", "waived_up_to", "source")
        help_texts = {
            "item_limit": "The greatest price at which an article may still be pooled.",
            "waived_up_to": "Empty where leaving always asks for the adjustment.",
            "source": "The law or the notice that says so.",
        }

    def clean(self) -> dict[str, Any]:
        """Check the day."""
        check_start(self, PoolRule.objects.all())
        return self.cleaned_data


class MarginLegendForm(CatalogueForm):
    """The words on an invoice under the margin scheme, from a day on."""

    class Meta(Figures):
        model = MarginLegend
        fields = ("valid_from", "words", "source")
        help_texts = {"source": "The law or the notice that asks for them."}

    def clean(self) -> dict[str, Any]:
        """Check the day."""
        check_start(self, MarginLegend.objects.all())
        return self.cleaned_data


def in_force(record: PoolRule | MarginLegend, today: dt.date) -> str:
    """Answer why a dated record may not be changed: it has been gone by."""
    if record.valid_from > today:
        return ""
    return (
        f"This has held since {in_words(record.valid_from)}, and was gone by. "
        "Add a new one that holds from a day on; this one stays for what is past."
    )


POOL_RULES = Kind(
    slug="pool-rules",
    one="rule of the pool",
    many="Rules of the pool",
    group=Group.MONEY,
    order=40,
    how=(
        "Which bikes may be pooled for VAT under global accounting, by the law of your country. "
        "When it changes, add the new rules with the day they hold from."
    ),
    model=PoolRule,
    rows=PoolRule.objects.all,
    form=PoolRuleForm,
    columns=(
        Column("valid_from", "Valid from", Shape.DATE),
        Column("item_limit", "An article cost at most", Shape.MONEY),
        Column("carry", "An excess is carried"),
        Column("waived_up_to", "VAT on leaving waived up to", Shape.MONEY),
        Column("source", "Source"),
    ),
    search=("source",),
    closed=in_force,
)

LEGENDS = Kind(
    slug="margin-invoice-words",
    one="wording of margin-scheme invoices",
    many="Words on margin-scheme invoices",
    group=Group.MONEY,
    order=50,
    how="What an invoice under the margin scheme must say, since it shows no VAT.",
    model=MarginLegend,
    rows=MarginLegend.objects.all,
    form=MarginLegendForm,
    columns=(
        Column("valid_from", "Valid from", Shape.DATE),
        Column("words", "Words"),
        Column("source", "Source"),
    ),
    search=("words", "source"),
    closed=in_force,
)
