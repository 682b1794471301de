"""What this room keeps in the catalogue: how long personal data are kept."""

from __future__ import annotations

from quotes.provenance.models import RetentionRule
from workshop.catalogue.forms import CatalogueForm, Figures
from workshop.catalogue.loading.kinds import Kind as FileKind
from workshop.catalogue.registry import Column, Group, Kind, Shape

RULES_IN_FILES = FileKind(RetentionRule, ("kind", "months", "source"), key=("kind",))


class RetentionRuleForm(CatalogueForm):
    """How long data of one kind are kept."""

    class Meta(Figures):
        model = RetentionRule
        fields = ("kind", "months", "source")
        help_texts = {"source": "The law, or the custom, that the time comes from."}


RETENTION_RULES = Kind(
    slug="retention-rules",
    one="retention rule",
    many="Retention rules",
    group=Group.MONEY,
    order=90,
    how=(
        "How long personal data are kept. Nothing is deleted by itself: “manage.py retention” "
        "says what is due, and with --apply deletes it."
    ),
    model=RetentionRule,
    rows=RetentionRule.objects.all,
    form=RetentionRuleForm,
    columns=(
        Column("kind", "Personal data"),
        Column("months", "Kept for, months", Shape.NUMBER),
        Column("source", "Source"),
    ),
    search=("kind", "source"),
)
