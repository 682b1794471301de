"""Template filters of the margin check."""

from __future__ import annotations

from decimal import Decimal

from django import template

register = template.Library()


@register.filter
def percent(share: Decimal) -> str:
    """Return a fraction as per cent with one decimal: 0.2345 is “23.5 %”."""
    return f"{share * 100:.1f} %"
