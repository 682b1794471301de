"""A purchase order on paper and as a file for the supplier."""

from __future__ import annotations

import csv
import io
from decimal import Decimal
from typing import Protocol

from babel.dates import format_date
from django.template.loader import render_to_string
from django.utils import timezone

from inventory.core.sheets import guarded
from inventory.purchasing.selectors import OrderPage
from inventory.stock.models import plain

HEAD = (
    "order",
    "code",
    "article number (GTIN)",
    "article",
    "pack of",
    "packs",
    "pieces",
    "price of a pack, net",
    "amount, net",
    "currency",
)


class ShopOnPaper(Protocol):
    """The shop as it stands at the head of its paper."""

    name: str
    address: str
    phone: str
    email: str
    vat_registered: bool
    vat_number: str
    locale: str


class OrderMoney:
    """The order's currency in the shop's way of writing."""

    def __init__(self, currency: str, locale: str) -> None:
        self.currency, self.locale = currency, locale


def order_html(page: OrderPage, shop: ShopOnPaper) -> str:
    """Return an order as HTML, without its stylesheet."""
    order = page.order
    ordered_at = order.ordered_at or timezone.now()
    context = {
        "page": page,
        "order": order,
        "shop": shop,
        "order_money": OrderMoney(order.currency, shop.locale),
        "language": shop.locale.replace("_", "-"),
        "ordered_on": timezone.localtime(ordered_at).date(),
        "day": format_date(timezone.localtime(ordered_at), "long", locale=shop.locale),
        "expected": order.expected_on
        and format_date(order.expected_on, "long", locale=shop.locale),
    }
    return render_to_string("print/purchase_order.html", context)


def order_pdf(page: OrderPage, shop: ShopOnPaper) -> bytes:
    """Return an order as PDF; the same order gives the same bytes."""
    from inventory.paper.press import pdf_of

    return pdf_of(order_html(page, shop))


def order_csv(page: OrderPage) -> str:
    """Return an order as CSV, a row an article; no cell runs as a formula."""
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(HEAD)
    for row in page.rows:
        line = row.line
        cells = (
            page.order.number or "draft",
            line.code,
            line.article.gtin if line.article else line.part.gtin,
            line.name,
            str(line.pack),
            str(line.packs),
            plain(line.pieces),
            written(line.pack_cost_net),
            written(line.amount_net),
            page.order.currency,
        )
        writer.writerow(map(guarded, cells))
    return "\ufeff" + out.getvalue()


def written(amount: Decimal) -> str:
    """Return an amount with a point and two decimals, more only where it has them."""
    short = amount.normalize()
    exponent = short.as_tuple().exponent
    return f"{short:.{max(2, -exponent if isinstance(exponent, int) else 0)}f}"
