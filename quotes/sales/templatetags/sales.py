"""Template tags of the stock book: a line without its VAT."""

from __future__ import annotations

from django import template
from django.template import Context

from inventory.core.money import format_money
from quotes.sales.models import Line

register = template.Library()


@register.simple_tag(takes_context=True)
def net_of(context: Context, line: Line) -> str:
    """Return what a line comes to without the VAT that it shows."""
    shop = context["shop"]
    return format_money(line.gross - line.vat, shop.currency, shop.locale)
