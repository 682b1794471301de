"""The list of margin checks, and how it is searched and narrowed."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal
from typing import Any

import django_filters
import django_tables2 as tables
from django import forms
from django.db.models import QuerySet
from django.urls import reverse
from django.utils.formats import date_format
from django.utils.html import format_html
from django.utils.safestring import SafeString
from django.utils.timezone import localtime

from inventory.core.cells import Money
from inventory.core.money import format_money
from inventory.lists import with_words
from quotes.buyin.models import Decision, MarginCheck
from quotes.buyin.outcome import VERDICTS
from quotes.buyin.selectors import SEARCHED
from workshop.shop.models import Shop
from workshop.shop.templatetags.ui import stage_chip

MONEY = {"td": {"class": "money"}, "th": {"class": "money"}}
VERDICT_CHOICES = [(word, shown.lower()) for word, (shown, _kind) in VERDICTS.items()]


class CheckFilter(django_filters.FilterSet):
    """A search box, the verdict and the decision."""

    q = django_filters.CharFilter(
        label="Stock number, make or frame number",
        method="search",
        widget=forms.TextInput(attrs={"type": "search"}),
    )
    verdict = django_filters.ChoiceFilter(choices=VERDICT_CHOICES, empty_label="every verdict")
    decision = django_filters.ChoiceFilter(choices=Decision.choices, empty_label="every decision")

    class Meta:
        model = MarginCheck
        fields = ("q", "verdict", "decision")

    def search(self, rows: QuerySet[MarginCheck], _name: str, text: str) -> QuerySet[MarginCheck]:
        """Keep the checks in whose bike every word stands."""
        return with_words(rows, text, SEARCHED)


class CheckTable(tables.Table):
    """Margin checks that were saved."""

    bike = tables.Column(order_by=("bike__stock_no",))
    verdict = tables.Column()
    resale_price = tables.Column("Resale", attrs=MONEY)
    purchase_price = tables.Column("Asked", attrs=MONEY)
    ceiling_price = tables.Column("At most", attrs=MONEY, empty_values=())
    profit = tables.Column(attrs=MONEY)
    decision = tables.Column()
    at = tables.Column("On")

    def __init__(self, *args: Any, shop: Shop, **kwargs: Any) -> None:
        """Take the shop, whose currency the amounts are in."""
        self.shop = shop
        super().__init__(*args, **kwargs)

    class Meta:
        model = MarginCheck
        fields = (
            "bike",
            "verdict",
            "resale_price",
            "purchase_price",
            "ceiling_price",
            "profit",
            "decision",
            "at",
        )
        template_name = "tables/lean.html"
        empty_text = "No margin check found"

    def render_bike(self, record: MarginCheck) -> SafeString:
        """Return the bike, linked to the check."""
        return format_html(
            '<a href="{}"><span class="stamp">{}</span> {} {}</a>',
            reverse("buyin:detail", args=(record.pk,)),
            record.bike.stock_no,
            record.bike.make,
            record.bike.model,
        )

    def render_verdict(self, record: MarginCheck) -> SafeString:
        """Return the verdict as shape and word."""
        return stage_chip(record.verdict, VERDICTS[record.verdict][0])

    def render_decision(self, record: MarginCheck) -> SafeString:
        """Return the decision as shape and word."""
        return stage_chip(DECISION_STAGES[record.decision], record.get_decision_display())

    def render_resale_price(self, value: Decimal) -> str:
        """Return the resale price."""
        return self.money(value)

    def render_purchase_price(self, value: Decimal) -> str:
        """Return the price asked."""
        return self.money(value)

    def render_ceiling_price(self, value: Decimal | None) -> str:
        """Return the ceiling price; a dash where the target is out of reach."""
        return "–" if value is None else self.money(value)

    def render_at(self, value: dt.datetime) -> str:
        """Return the day; quicker than a date column, which compiles a template a cell."""
        return date_format(localtime(value), "j M Y")

    def value_ceiling_price(self, value: Decimal | None) -> Money | None:
        """Return the ceiling price for a file."""
        return None if value is None else Money(value, self.shop.currency)

    def value_at(self, value: dt.datetime) -> dt.date:
        """Return the day for a file."""
        return localtime(value).date()

    def render_profit(self, value: Decimal) -> str:
        """Return the profit."""
        return self.money(value)

    def money(self, amount: Decimal) -> str:
        """Return an amount as the shop writes it."""
        return format_money(amount, self.shop.currency, self.shop.locale)


DECISION_STAGES = {"open": "open", "buy": "bought", "leave": "left"}
"""The chip's shape for a decision: that of the stage it leads to."""
