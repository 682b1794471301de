"""The list of orders, and how it is searched and narrowed."""

from __future__ import annotations

import django_filters
import django_tables2 as tables
from django import forms
from django.db.models import QuerySet
from django.utils.safestring import SafeString

from inventory.core.cells import Money
from inventory.core.money import format_money
from inventory.lists import with_words
from inventory.purchasing.models import PurchaseOrder, State
from inventory.purchasing.selectors import total_net
from inventory.stock.tables import MONEY
from inventory.suppliers.models import Supplier

SEARCH = forms.TextInput(attrs={"type": "search"})


class OrderFilter(django_filters.FilterSet):
    """A search box, the state and the supplier."""

    q = django_filters.CharFilter(
        label="Number, supplier or article", method="search", widget=SEARCH
    )
    state = django_filters.ChoiceFilter(label="State", choices=State.choices)
    supplier = django_filters.ModelChoiceFilter(label="Supplier", queryset=Supplier.objects.all())

    class Meta:
        model = PurchaseOrder
        fields = ("q", "state", "supplier")

    def search(
        self, rows: QuerySet[PurchaseOrder], _name: str, text: str
    ) -> QuerySet[PurchaseOrder]:
        """Keep the orders in which every word stands."""
        found = with_words(rows, text, ("number", "supplier__name", "lines__name", "lines__code"))
        return found.distinct()


class OrderTable(tables.Table):
    """Orders; what they come to is left out for those who may not see costs."""

    number = tables.Column(
        "Order", linkify=("purchasing:order", {"pk": tables.A("pk")}), empty_values=()
    )
    supplier = tables.Column("Supplier", order_by=("supplier__name",))
    state = tables.Column("State")
    ordered_at = tables.DateColumn(verbose_name="Ordered", format="j M Y")
    expected_on = tables.DateColumn(verbose_name="Expected", format="j M Y")
    total = tables.Column("Total, net", empty_values=(), orderable=False, attrs=MONEY)

    class Meta:
        model = PurchaseOrder
        fields = ("number", "supplier", "state", "ordered_at", "expected_on", "total")
        template_name = "tables/lean.html"
        empty_text = "No order is like this."

    def render_number(self, record: PurchaseOrder) -> str:
        """Return the number, or that it is a draft."""
        return record.number or "draft"

    def value_number(self, record: PurchaseOrder) -> str:
        """Return the number for a file."""
        return record.number or "draft"

    def render_state(self, value: str, record: PurchaseOrder) -> SafeString | str:
        """Return the state in words."""
        return record.get_state_display()

    def render_total(self, record: PurchaseOrder) -> str:
        """Return what it comes to in its currency."""
        return format_money(total_net(record), record.currency, self.request.shop.locale)

    def value_total(self, record: PurchaseOrder) -> Money:
        """Return what it comes to for a file."""
        return Money(total_net(record), record.currency)
