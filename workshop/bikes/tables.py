"""The list of bikes, and how it is searched and narrowed."""

from __future__ import annotations

from typing import Any

import django_filters
import django_tables2 as tables
from django import forms
from django.db.models import Q, QuerySet
from django.utils.html import format_html
from django.utils.safestring import SafeString

from inventory.lists import with_words
from workshop.bikes.models import Bike, Frame, Purpose, Stage, normal_frame_number
from workshop.bikes.selectors import SEARCHED, SEARCHED_OF_CUSTOMER, sees_customers
from workshop.shop.templatetags.ui import stage_chip

ONLY_WIDE = {"td": {"class": "only-wide nowrap"}, "th": {"class": "only-wide"}}


class BikeFilter(django_filters.FilterSet):
    """A search box, and stage, purpose and frame."""

    q = django_filters.CharFilter(
        label="Number, frame number, make or colour",
        method="search",
        widget=forms.TextInput(attrs={"type": "search", "data-scan": True}),
    )
    stage = django_filters.ChoiceFilter(choices=Stage.choices, empty_label="every stage")
    purpose = django_filters.ChoiceFilter(
        label="Why it is here", choices=Purpose.choices, empty_label="for whatever reason"
    )
    frame = django_filters.ChoiceFilter(choices=Frame.choices, empty_label="every frame")

    class Meta:
        model = Bike
        fields = ("q", "stage", "purpose", "frame")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        """Offer to look for a customer to those who may see them."""
        super().__init__(*args, **kwargs)
        self.searched: tuple[str, ...] = SEARCHED
        if sees_customers(self.request):
            self.searched += SEARCHED_OF_CUSTOMER
            self.filters["q"].label = "Number, frame number, make, colour or customer"

    def search(self, rows: QuerySet[Bike], _name: str, text: str) -> QuerySet[Bike]:
        """Keep the bikes in which every word stands, or whose frame number holds the text."""
        found = with_words(rows, text, self.searched)
        key = normal_frame_number(text)
        if not key:
            return found
        return rows.filter(Q(pk__in=found.values("pk")) | Q(frame_key__contains=key))


class BikeTable(tables.Table):
    """Bikes with where each stands; ``customer`` is left out for those who may not see it."""

    stock_no = tables.Column("Number", linkify=("bikes:detail", {"pk": tables.A("pk")}))
    make = tables.Column("Bike", order_by=("make", "model"))
    stage = tables.Column()
    frame_number = tables.Column(attrs=ONLY_WIDE)
    purpose = tables.Column(attrs=ONLY_WIDE)
    booked_in_at = tables.DateColumn(verbose_name="Booked in", format="j M Y", attrs=ONLY_WIDE)

    class Meta:
        model = Bike
        fields = (
            "stock_no",
            "make",
            "frame_number",
            "customer",
            "purpose",
            "stage",
            "booked_in_at",
        )
        template_name = "tables/lean.html"
        order_by = "-stock_no"
        empty_text = "No bike found"

    def render_make(self, record: Bike) -> str:
        """Return make, model and colour."""
        return " ".join(filter(None, (record.make, record.model))) + (
            f", {record.colour}" if record.colour else ""
        )

    def render_stock_no(self, value: str) -> SafeString:
        """Return the number as it is stamped."""
        return format_html('<span class="stamp">{}</span>', value)

    def render_stage(self, record: Bike) -> SafeString:
        """Return the stage as shape and word."""
        return stage_chip(record.stage, record.get_stage_display())
