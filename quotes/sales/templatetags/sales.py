"""Template tags of the stock book: a line without its VAT, amounts with their sign."""

from __future__ import annotations

from decimal import Decimal

from django import template
from django.template import Context

from inventory.core.money import format_money
from quotes.sales.models import Sale
from quotes.sales.papers import Printed
from quotes.sales.selectors.left import Left, left_of

register = template.Library()


@register.simple_tag(takes_context=True)
def net_of(context: Context, line: Printed) -> str:
    """Return what a line comes to without the VAT that it shows."""
    shop = context["shop"]
    return format_money(line.gross - line.vat, shop.currency, shop.locale)


@register.simple_tag
def left_of_sale(sale: Sale) -> Left:
    """Return what is left of a sale after what was paid back of it."""
    return left_of(sale)


@register.simple_tag(takes_context=True)
def difference(context: Context, amount: Decimal) -> str:
    """Return by how much something differs, with its sign: “+£3.00”, “-£3.00”, “£0.00”."""
    shop = context["shop"]
    sign = "+" if amount > 0 else ""
    return sign + format_money(amount, shop.currency, shop.locale)
