"""The list of quotes, and how it is searched and narrowed."""

from __future__ import annotations

import datetime as dt
from typing import Any

import django_filters
import django_tables2 as tables
from django import forms
from django.db.models import QuerySet
from django.urls import reverse
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.html import format_html
from django.utils.safestring import SafeString

from inventory.core.cells import Money
from inventory.core.money import format_money
from inventory.lists import with_words
from quotes.quoting.models import Revision, State
from quotes.quoting.selectors.lists import SEARCHED, past_their_date, with_revision_in
from quotes.quoting.selectors.page import expired
from workshop.shop.models import Shop
from workshop.shop.templatetags.ui import stage_chip

PAST = "past"
MONEY = {"td": {"class": "money"}, "th": {"class": "money"}}


class QuoteFilter(django_filters.FilterSet):
    """A search box, and the state."""

    q = django_filters.CharFilter(
        label="Number, bike or customer",
        method="search",
        widget=forms.TextInput(attrs={"type": "search"}),
    )
    state = django_filters.ChoiceFilter(
        choices=[*State.choices, (PAST, "sent, date passed")],
        method="in_state",
        empty_label="every state",
    )

    class Meta:
        model = Revision
        fields = ("q", "state")

    def search(self, rows: QuerySet[Revision], _name: str, text: str) -> QuerySet[Revision]:
        """Keep the quotes in which every word stands."""
        return with_words(rows, text, SEARCHED)

    def in_state(self, rows: QuerySet[Revision], _name: str, state: str) -> QuerySet[Revision]:
        """Keep the quotes that have a revision in that state, or whose date passed unanswered."""
        if state == PAST:
            return past_their_date(rows, timezone.localdate())
        return with_revision_in(rows, state)


class QuoteTable(tables.Table):
    """Quotes by their latest revision; amounts with VAT."""

    number = tables.Column("Quote", accessor="quote__number")
    bike = tables.Column(accessor="quote__bike", order_by=("quote__bike__stock_no",))
    customer = tables.Column("Customer", accessor="quote__customer__name")
    state = tables.Column()
    gross = tables.Column("Total", attrs=MONEY)
    valid_until = tables.DateColumn(verbose_name="Stands until", format="j M Y")

    def __init__(self, *args: Any, shop: Shop, **kwargs: Any) -> None:
        """Take the shop, whose currency the amounts are in."""
        self.shop = shop
        super().__init__(*args, **kwargs)

    class Meta:
        model = Revision
        fields = ("number", "bike", "customer", "state", "gross", "valid_until")
        template_name = "tables/lean.html"
        empty_text = "No quote found"

    def render_number(self, record: Revision) -> SafeString:
        """Return the number as it is stamped, linked, with the revision beside it."""
        return format_html(
            '<span><a href="{}"><span class="stamp">{}</span></a>'
            ' <span class="muted small nowrap">revision {}</span></span>',
            reverse("quoting:revision", args=(record.quote.number, record.number)),
            record.quote.number,
            record.number,
        )

    def render_state(self, record: Revision) -> SafeString:
        """Return the state as shape and word."""
        return stage_chip(record.state, record.get_state_display())

    def render_valid_until(self, record: Revision, value: dt.date | None) -> str:
        """Return the date, with a word where it passed without an answer."""
        if value is None:
            return "—"
        day = date_format(value, "j M Y")
        if not expired(record, timezone.localdate()):
            return day
        return format_html("<span>{} <strong>passed</strong></span>", day)

    def value_gross(self, record: Revision) -> Money | str:
        """Return the total for a file."""
        if record.no_price:
            return self.render_gross(record)
        return Money(record.gross, self.shop.currency)

    def render_gross(self, record: Revision) -> str:
        """Return the total with VAT, or that no price is offered."""
        if record.no_price:
            return "no price offered"
        return format_money(record.gross, self.shop.currency, self.shop.locale)
