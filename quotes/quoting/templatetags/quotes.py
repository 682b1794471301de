"""How quotes write lines, rates and differences: ``{% load quotes %}``."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString

from inventory.core.money import format_money
from quotes.quoting.formats import quantity_text, signed_money
from quotes.quoting.models import Line, LineKind
from workshop.core.judgement import Importance
from workshop.shop.models import Shop

register = template.Library()
HUNDRED = Decimal(100)
SUNDRY = {"must": "must be done", "should": "should be done", "could": "could wait"}


@register.filter
def percent(rate: Decimal) -> str:
    """Return a fraction as per cent: 0.2 is “20 %”."""
    return f"{(rate * HUNDRED).quantize(Decimal('0.1')).normalize():f} %"


@register.filter
def difference(amount: Decimal, shop: Shop) -> str:
    """Return a difference in money with its sign."""
    return signed_money(amount, shop)


@register.simple_tag
def measure(line: Line, shop: Shop) -> str:
    """Return how much at what price: “25 min at £48.00 an hour”, “2 pc at £3.10”."""
    price = format_money(line.unit_price_net, shop.currency, shop.locale)
    quantity = quantity_text(line.quantity)
    if line.kind in {LineKind.LABOUR, LineKind.ACCESS}:
        return f"{quantity} min at {price} an hour"
    if line.kind == LineKind.SUNDRY:
        return f"grease, cable ends, cleaning: for what {SUNDRY[line.importance]}"
    return f"{quantity} {line.unit} at {price}"


@register.filter
def numbers(found: Sequence[int]) -> str:
    """Return finding numbers as text: “1, 3 and 5”."""
    texts = [str(number) for number in found]
    return texts[0] if len(texts) == 1 else f"{', '.join(texts[:-1])} and {texts[-1]}"


@register.filter
def hours(minutes: Decimal) -> str:
    """Return minutes as people say them: “1 h 25 min”."""
    whole = int(minutes.to_integral_value())
    return f"{whole // 60} h {whole % 60:02} min" if whole >= 60 else f"{whole} min"  # noqa: PLR2004 - an hour


@register.filter
def importance_mark(importance: str) -> SafeString:
    """Return how long something may wait, as a chip of its own shape and word."""
    word = Importance(importance)
    return format_html('<span class="importance importance-{}">{}</span>', word.value, word.label)
