"""Template filters of the decision: chances and hours as people say them."""

from __future__ import annotations

from decimal import Decimal

from django import template

from quotes.core.deciding import in_a_hundred

register = template.Library()

MINUTES_AN_HOUR = 60


@register.filter
def times(share: float) -> str:
    """Return a share as times in a hundred."""
    return in_a_hundred(share)


@register.filter
def hundred(share: float) -> str:
    """Return a share of a hundred, for a bar."""
    return f"{share * 100:.1f}"


@register.filter
def whole_percent(share: Decimal) -> str:
    """Return a fraction as whole per cent."""
    return f"{share * 100:.0f} %"


@register.filter
def hours(minutes: Decimal) -> str:
    """Return minutes as hours with one decimal."""
    return f"{minutes / MINUTES_AN_HOUR:.1f}"
