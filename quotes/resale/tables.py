"""The list of comparables, and how it is searched and narrowed."""

from __future__ import annotations

from decimal import Decimal

import django_filters
import django_tables2 as tables
from django import forms
from django.db.models import QuerySet

from inventory.core.money import format_money
from inventory.lists import with_words
from quotes.resale.models import Comparable, Grade, PriceKind
from quotes.resale.selectors.listing import SEARCHED
from workshop.bikes.models import Frame
from workshop.shop.models import Shop

FIGURE = {"td": {"class": "number"}, "th": {"class": "number"}}
MONEY = {"td": {"class": "money"}, "th": {"class": "money"}}
DAY = forms.DateInput(attrs={"type": "date"})


class ComparableFilter(django_filters.FilterSet):
    """A search box, and frame, condition, asked or sold, and days."""

    q = django_filters.CharFilter(
        label="Make, model or where seen",
        method="search",
        widget=forms.TextInput(attrs={"type": "search"}),
    )
    frame = django_filters.ChoiceFilter(choices=Frame.choices, empty_label="every frame")
    kind = django_filters.ChoiceFilter(choices=PriceKind.choices, empty_label="asked and sold")
    condition = django_filters.ChoiceFilter(
        choices=sorted(Grade.choices, reverse=True), empty_label="every condition"
    )
    since = django_filters.DateFilter(
        label="Seen since", field_name="seen_on", lookup_expr="gte", widget=DAY
    )

    class Meta:
        model = Comparable
        fields = ("q", "frame", "kind", "condition", "since")

    def search(self, rows: QuerySet[Comparable], _name: str, text: str) -> QuerySet[Comparable]:
        """Keep the comparables in which every word stands."""
        return with_words(rows, text, SEARCHED)


class ComparableTable(tables.Table):
    """Comparables, each leading to its page for those who may change it."""

    make = tables.Column("Bike", order_by=("make", "model"))
    maker_year = tables.Column("Year", attrs=FIGURE)
    condition = tables.Column("Condition")
    price = tables.Column("Price", attrs=MONEY)
    kind = tables.Column("Asked or sold")
    seen_on = tables.DateColumn(
        verbose_name="Seen on", format="j M Y", attrs={"td": {"class": "nowrap"}}
    )
    days_on_shelf = tables.Column("Days on the shelf", attrs=FIGURE)
    source = tables.Column("Where seen")

    class Meta:
        model = Comparable
        fields = (
            "make",
            "maker_year",
            "condition",
            "price",
            "kind",
            "seen_on",
            "days_on_shelf",
            "source",
        )
        template_name = "tables/lean.html"
        order_by = "-seen_on"
        empty_text = "No comparable found"

    def __init__(self, *args: object, shop: Shop, **kwargs: object) -> None:
        """Show prices in the shop's currency."""
        super().__init__(*args, **kwargs)
        self.shop = shop

    def render_make(self, record: Comparable) -> str:
        """Return make and model."""
        return f"{record.make} {record.model}".strip()

    def render_maker_year(self, value: int) -> str:
        """Return the year as it is written, without a thousands mark."""
        return str(value)

    def render_condition(self, record: Comparable) -> str:
        """Return the grade and its first word."""
        return record.get_condition_display().partition(":")[0]

    def render_price(self, value: Decimal) -> str:
        """Return the price with its currency."""
        return format_money(value, self.shop.currency, self.shop.locale)


class EditableTable(ComparableTable):
    """The same, with the way to change each."""

    make = tables.Column(
        "Bike",
        order_by=("make", "model"),
        linkify=("resale:edit", {"pk": tables.A("pk")}),
    )
