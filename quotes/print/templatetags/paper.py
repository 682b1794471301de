"""Template filters for paper: dates, rates and money as the shop writes them; shapes on white."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

from babel.dates import format_date
from babel.numbers import format_percent
from django import template
from django.utils.safestring import SafeString, mark_safe

from workshop.core.shapes import SHEET
from workshop.shop.models import Shop

register = template.Library()


@register.filter
def on_day(day: dt.date, shop: Shop) -> str:
    """Return a day in full, in the shop's language: “25 November 2026”."""
    return format_date(day, "long", locale=shop.locale)


@register.filter
def as_rate(rate: Decimal, shop: Shop) -> str:
    """Return a fraction as a percentage with no more decimals than it has: “20%”, “5.5%”."""
    return format_percent(rate.normalize(), "#,##0.##%", locale=shop.locale)


@register.filter
def on_white(drawing: SafeString) -> SafeString:
    """Return one of our drawings with its paper white, as paper is."""
    return mark_safe(drawing.replace(SHEET, "#ffffff"))  # noqa: S308 - marked safe as it came
