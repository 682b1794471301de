"""The lists of suppliers and of their articles."""

from __future__ import annotations

from decimal import Decimal

import django_filters
import django_tables2 as tables
from django import forms
from django.db.models import QuerySet

from inventory.core.cells import Money, Share
from inventory.core.money import format_money
from inventory.lists import with_words
from inventory.suppliers.models import Supplier, SupplierPart, in_per_cent

NUMBER = {"td": {"class": "number"}, "th": {"class": "number"}}
MONEY = {"td": {"class": "money"}, "th": {"class": "money"}}
SEARCH = forms.TextInput(attrs={"type": "search"})


class SupplierFilter(django_filters.FilterSet):
    """A search box, and whether in use."""

    q = django_filters.CharFilter(label="Name or contact", method="search", widget=SEARCH)
    active = django_filters.ChoiceFilter(
        label="In use", choices=((True, "in use"), (False, "no longer")), empty_label="all"
    )

    class Meta:
        model = Supplier
        fields = ("q", "active")

    def search(self, rows: QuerySet[Supplier], _name: str, text: str) -> QuerySet[Supplier]:
        """Keep the suppliers in which every word stands."""
        return with_words(rows, text, ("name", "contact", "own_number"))


class SupplierTable(tables.Table):
    """Suppliers with what they sell."""

    name = tables.Column("Supplier", linkify=("suppliers:detail", {"pk": tables.A("pk")}))
    lead_days = tables.Column("Lead time, days", attrs=NUMBER)
    sells = tables.Column("Articles", attrs=NUMBER)
    matched = tables.Column("Ours among them", attrs=NUMBER)

    class Meta:
        model = Supplier
        fields = ("name", "contact", "currency", "lead_days", "sells", "matched")
        template_name = "tables/lean.html"
        order_by = "name"
        empty_text = "No supplier found"


class ArticleFilter(django_filters.FilterSet):
    """A search box, and whether matched with a part of ours."""

    q = django_filters.CharFilter(label="Code, name or GTIN", method="search", widget=SEARCH)
    ours = django_filters.ChoiceFilter(
        label="Matched",
        choices=(("yes", "with a part of ours"), ("no", "not yet")),
        method="narrow",
        empty_label="all",
    )

    class Meta:
        model = SupplierPart
        fields = ("q", "ours")

    def search(self, rows: QuerySet[SupplierPart], _name: str, text: str) -> QuerySet[SupplierPart]:
        """Keep the articles in which every word stands."""
        return with_words(rows, text, ("code", "name", "gtin"))

    def narrow(self, rows: QuerySet[SupplierPart], _name: str, text: str) -> QuerySet[SupplierPart]:
        """Keep the articles that are matched, or those that are not."""
        return rows.filter(part__isnull=text == "no")


class ArticleTable(tables.Table):
    """Articles at the price that holds."""

    code = tables.Column("Code", linkify=("suppliers:article", {"pk": tables.A("pk")}))
    pack = tables.Column("Pack", attrs=NUMBER)
    list_price_net = tables.Column("List price", attrs=MONEY)
    discount = tables.Column("Discount", attrs=NUMBER)
    cost_net = tables.Column("Cost, net", attrs=MONEY)
    part = tables.Column("Our part", default="not matched", order_by=("part__name",))
    valid_from = tables.DateColumn(
        verbose_name="Since", format="j M Y", attrs={"td": {"class": "nowrap"}}
    )

    class Meta:
        model = SupplierPart
        fields = (
            "code",
            "name",
            "pack",
            "list_price_net",
            "discount",
            "cost_net",
            "part",
            "valid_from",
        )
        template_name = "tables/lean.html"
        order_by = "code"
        empty_text = "No article found"

    def __init__(self, *args: object, currency: str, locale: str, **kwargs: object) -> None:
        """Write amounts in the shop's way; ``currency`` is the supplier's."""
        super().__init__(*args, **kwargs)
        self.currency, self.locale = currency, locale

    def render_list_price_net(self, value: Decimal, record: SupplierPart) -> str:
        """Return the list price with its currency."""
        return format_money(value, record.currency, self.locale)

    def render_cost_net(self, value: Decimal, record: SupplierPart) -> str:
        """Return the cost with its currency."""
        return format_money(value, record.currency, self.locale)

    def value_list_price_net(self, value: Decimal, record: SupplierPart) -> Money:
        """Return the list price for a file."""
        return Money(value, record.currency)

    def value_cost_net(self, value: Decimal, record: SupplierPart) -> Money:
        """Return the cost for a file."""
        return Money(value, record.currency)

    def value_discount(self, value: Decimal) -> Share:
        """Return the discount for a file."""
        return Share(value)

    def render_discount(self, value: Decimal) -> str:
        """Return the discount in per cent, nothing where there is none."""
        return in_per_cent(value)
