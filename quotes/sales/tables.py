"""The list of the shop's bikes, and the stock book."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal
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

from inventory.core.money import format_money
from inventory.lists import with_words
from quotes.sales.models import Purchase
from quotes.sales.selectors.book import POOLED, BookRow
from quotes.sales.selectors.listing import SEARCHED
from quotes.sales.selectors.standing import in_stock, sold
from workshop.bikes.models import Stage
from workshop.shop.models import Shop
from workshop.shop.templatetags.ui import stage_chip

MONEY = {"td": {"class": "money"}, "th": {"class": "money"}}
FIGURE = {"td": {"class": "number"}, "th": {"class": "number"}}
DAY = {"td": {"class": "nowrap"}}
STANDS = (("stock", "in stock"), ("sold", "sold"), ("reversed", "reversed"))


class StockFilter(django_filters.FilterSet):
    """A search box, and in stock, sold or reversed."""

    q = django_filters.CharFilter(
        label="Bike, number, invoice or buyer",
        method="search",
        widget=forms.TextInput(attrs={"type": "search"}),
    )
    stands = django_filters.ChoiceFilter(
        label="Stands", choices=STANDS, method="narrow", empty_label="all of them"
    )

    class Meta:
        model = Purchase
        fields = ("q", "stands")

    def search(self, rows: QuerySet[Purchase], _name: str, text: str) -> QuerySet[Purchase]:
        """Keep the rows in which every word stands."""
        return with_words(rows, text, SEARCHED).distinct()

    def narrow(self, rows: QuerySet[Purchase], _name: str, value: str) -> QuerySet[Purchase]:
        """Keep what is in stock, what is sold, or what was reversed."""
        if value == "reversed":
            return rows.filter(reversal__isnull=False)
        return in_stock(rows) if value == "stock" else sold(rows)


class ShopTable(tables.Table):
    """A table whose amounts are the shop's and whose days are short."""

    def __init__(self, *args: Any, shop: Shop, **kwargs: Any) -> None:
        """Take the shop, whose currency the amounts are in."""
        self.shop = shop
        super().__init__(*args, **kwargs)

    def money(self, amount: Decimal) -> str:
        """Return an amount as the shop writes it."""
        return format_money(amount, self.shop.currency, self.shop.locale)

    def day(self, day: dt.date) -> str:
        """Return a day; quicker than a date column, which compiles a template a cell."""
        return date_format(day, "j M Y")


class StockTable(ShopTable):
    """Bikes bought into stock; what they cost is left out for those who may not see it."""

    bike = tables.Column("Bike", order_by=("bike__make", "bike__model"))
    number = tables.Column("Stock book", order_by=("pk",), attrs=DAY)
    stands = tables.Column("Stands", empty_values=(), orderable=False)
    bought_on = tables.Column("Bought", attrs=DAY)
    price = tables.Column("Paid", attrs=MONEY)
    sold_on = tables.Column("Sold", attrs=DAY)
    sold_for = tables.Column("Sold for", attrs=MONEY)
    days = tables.Column("Days here", empty_values=(), orderable=False, attrs=FIGURE)

    class Meta:
        model = Purchase
        fields = (
            "bike",
            "number",
            "stands",
            "bought_on",
            "price",
            "sold_on",
            "sold_for",
            "days",
        )
        template_name = "tables/lean.html"
        empty_text = "No bike has been bought into stock"

    def render_bike(self, record: Purchase) -> SafeString:
        """Return the bike, linked to its row."""
        return format_html(
            '<a href="{}"><span class="stamp">{}</span> {} {}</a>',
            reverse("sales:row", args=(record.number,)),
            record.bike.stock_no,
            record.bike.make,
            record.bike.model,
        )

    def value_bike(self, record: Purchase) -> str:
        """Return the bike for a file."""
        return str(record.bike)

    def render_stands(self, record: Any) -> SafeString:  # noqa: ANN401 - a row with annotations
        """Return whether it is reversed, sold, for sale or not released yet, as shape and word."""
        if record.reversed_on:
            return stage_chip("left", "reversed")
        if record.sold_on:
            return stage_chip("sold", "sold")
        if record.bike.stage == Stage.RELEASED:
            return stage_chip(Stage.RELEASED, "for sale")
        return stage_chip("ready", f"in stock, {record.bike.get_stage_display()}")

    def render_bought_on(self, value: dt.date) -> str:
        """Return the day."""
        return self.day(value)

    def render_sold_on(self, value: dt.date) -> str:
        """Return the day."""
        return self.day(value)

    def render_price(self, value: Decimal) -> str:
        """Return what was paid."""
        return self.money(value)

    def render_sold_for(self, value: Decimal) -> str:
        """Return what it brought."""
        return self.money(value)

    def render_days(self, record: Any) -> int:  # noqa: ANN401 - a row with annotations
        """Return the days from purchase to sale or reversal, or to today."""
        end = record.sold_on or record.reversed_on or timezone.localdate()
        days: int = (end - record.bought_on).days
        return days


class BookTable(ShopTable):
    """The stock book in its statutory columns."""

    number = tables.Column("Stock no.", linkify=("sales:row", {"number": tables.A("number")}))
    stock_no = tables.Column("Bike")
    bought_on = tables.Column("Bought on", attrs=DAY)
    document = tables.Column("Purchase invoice")
    seller = tables.Column("Seller")
    seller_address = tables.Column("Seller’s address")
    description = tables.Column("Description")
    frame_number = tables.Column("Frame number")
    scheme = tables.Column("VAT")
    purchase_price = tables.Column("Purchase price", attrs=MONEY)
    sold_on = tables.Column("Sold on", attrs=DAY)
    invoice = tables.Column("Sales invoice")
    buyer = tables.Column("Buyer")
    price = tables.Column("Selling price", attrs=MONEY)
    margin = tables.Column("Margin", attrs=MONEY)
    vat = tables.Column("VAT due", attrs=MONEY)
    remark = tables.Column("Remark")

    class Meta:
        template_name = "tables/lean.html"
        orderable = False
        empty_text = "Nothing happened in these days"

    def render_bought_on(self, value: dt.date) -> str:
        """Return the day."""
        return self.day(value)

    def render_sold_on(self, value: dt.date) -> str:
        """Return the day."""
        return self.day(value)

    def render_seller_address(self, value: str) -> str:
        """Return the address in one line."""
        return ", ".join(value.splitlines())

    def render_purchase_price(self, value: Decimal, record: BookRow) -> str:
        """Return what was paid."""
        return self.money(value)

    def render_price(self, value: Decimal) -> str:
        """Return what it was sold for."""
        return self.money(value)

    def render_margin(self, value: Decimal) -> str:
        """Return the margin."""
        return self.money(value)

    def render_vat(self, value: Decimal) -> str:
        """Return the VAT."""
        return self.money(value)


class BookOnScreen(BookTable):
    """The stock book as a screen has room for it; a file has all of its columns."""

    class Meta(BookTable.Meta):
        exclude = ("stock_no", "document", "seller_address", "frame_number", "scheme", "remark")

    def render_seller(self, value: str, record: BookRow) -> str:
        """Return the seller with the number of the receipt or invoice."""
        return f"{value} · {record.document}"

    def render_vat(self, value: Decimal, record: BookRow) -> str:  # type: ignore[override] # as django-tables2 asks
        """Return the VAT, or that it is reckoned for the whole pool."""
        return "in the pool" if record.scheme == POOLED else self.money(value)

    def render_description(self, value: str, record: BookRow) -> str:
        """Return the bike with its frame number, and what else is to be said of the row."""
        return " · ".join(filter(None, (value, record.frame_number, record.remark)))
