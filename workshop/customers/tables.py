"""The list of customers, and how it is searched."""

from __future__ import annotations

import django_filters
import django_tables2 as tables
from django import forms
from django.db.models import QuerySet

from inventory.lists import with_words
from workshop.customers.models import Customer
from workshop.customers.selectors import SEARCHED


class CustomerFilter(django_filters.FilterSet):
    """One box that searches everything a customer is known by."""

    q = django_filters.CharFilter(
        label="Name, phone, e-mail or address",
        method="search",
        widget=forms.TextInput(attrs={"type": "search"}),
    )

    class Meta:
        model = Customer
        fields = ("q",)

    def search(self, rows: QuerySet[Customer], _name: str, text: str) -> QuerySet[Customer]:
        """Keep the customers in whom every word stands."""
        return with_words(rows, text, SEARCHED)


class CustomerTable(tables.Table):
    """Customers with how to reach them and how many bikes of theirs were here."""

    name = tables.Column(linkify=("customers:detail", {"pk": tables.A("pk")}))
    bike_count = tables.Column(
        "Bikes", attrs={"td": {"class": "number"}, "th": {"class": "number"}}
    )

    class Meta:
        model = Customer
        fields = ("name", "phone", "email", "bike_count")
        template_name = "tables/lean.html"
        order_by = "name"
        empty_text = "No customer found"
