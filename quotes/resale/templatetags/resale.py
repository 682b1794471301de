"""Words for grades, frames and shares."""

from __future__ import annotations

from decimal import Decimal

from django import template
from django.template import Context

from quotes.charts import money
from quotes.resale import wording
from quotes.resale.models import Grade
from workshop.bikes.models import Frame

register = template.Library()


@register.simple_tag(takes_context=True)
def whole_money(context: Context, amount: Decimal) -> str:
    """Return an amount in whole units of the shop's currency; needs ``shop`` in the context."""
    shop = context["shop"]
    return money.whole_money(amount, shop.currency, shop.locale)


@register.filter
def grade_word(value: int) -> str:
    """Return a grade in words."""
    return str(Grade(value).label)


@register.filter
def frame_word(value: str) -> str:
    """Return a kind of frame in words."""
    return str(Frame(value).label)


@register.filter
def signed_per_cent(share: float) -> str:
    """Return a share in whole per cent with its sign."""
    return wording.signed_per_cent(share)
