"""The list of parts with their levels, and how it is searched and narrowed."""

from __future__ import annotations

from decimal import Decimal

import django_filters
import django_tables2 as tables
from django import forms
from django.db.models import Model, QuerySet

from inventory.core.money import format_money
from inventory.parts.models import Part, VatCode
from inventory.search.selectors import parts_found
from inventory.stock.models import plain
from inventory.stock.selectors import short

RIGHT = {"td": {"class": "number"}, "th": {"class": "number"}}
MONEY = {"td": {"class": "money"}, "th": {"class": "money"}}


class PartFilter(django_filters.FilterSet):
    """A search box, the place, what is short, VAT, and whether in use."""

    q = django_filters.CharFilter(
        label="Scan, or type a name, code or place, ours or a supplier’s",
        method="search",
        widget=forms.TextInput(attrs={"type": "search", "data-scan": True}),
    )
    place = django_filters.CharFilter(label="Shelf place", lookup_expr="iexact")
    short = django_filters.BooleanFilter(
        label="Only what is short", method="only_short", widget=forms.CheckboxInput
    )

    active = django_filters.ChoiceFilter(
        label="In use", choices=((True, "in use"), (False, "out of use")), empty_label="all"
    )
    vat_code = django_filters.ChoiceFilter(label="VAT", choices=VatCode.choices, empty_label="all")

    class Meta:
        model = Part
        fields = ("q", "place", "short", "active", "vat_code")

    def search(self, rows: QuerySet[Part], _name: str, text: str) -> QuerySet[Part]:
        """Keep the parts that the words find."""
        return parts_found(rows, text)

    def only_short(self, rows: QuerySet[Part], _name: str, wanted: bool) -> QuerySet[Part]:  # noqa: FBT001 - the filter calls it so
        """Keep what is short, where that is wished."""
        return short(rows) if wanted else rows


class QuantityColumn(tables.Column):
    """A quantity without needless zeros."""

    def __init__(self, name: str) -> None:
        super().__init__(name, attrs=RIGHT)

    def render(self, value: Decimal) -> str:
        """Return it as people write it."""
        return plain(value)


class PartTable(tables.Table):
    """Parts with what there is of each; ``worth`` is left out for those who may not see costs."""

    name = tables.Column("Part", linkify=("stock:part", {"pk": tables.A("pk")}))
    place = tables.Column("Place")
    on_hand = QuantityColumn("On hand")
    reserved = QuantityColumn("Reserved")
    minimum = QuantityColumn("At least")
    worth = tables.Column("Worth, net", attrs=MONEY)
    standing = tables.Column("Standing", empty_values=(), orderable=False)

    class Meta:
        model = Part
        fields = ("name", "place", "on_hand", "reserved", "minimum", "worth", "standing")
        template_name = "tables/lean.html"
        empty_text = "No part is like this."

    def render_worth(self, value: Decimal) -> str:
        """Return it in the shop's currency."""
        shop = self.request.shop
        return format_money(value, shop.currency, shop.locale)

    def render_standing(self, record: Model) -> str:
        """Say where fewer are free than there should be, and what is no longer used."""
        if not record.active:  # type: ignore[attr-defined]
            return "out of use"
        missing = record.minimum - record.free  # type: ignore[attr-defined]
        return f"short of {plain(missing)}" if missing > 0 else ""
