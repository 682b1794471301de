"""Template tags of the pool: periods, where they stand, amounts taken off, exact fractions."""

from __future__ import annotations

from decimal import Decimal

from django import template
from django.template import Context
from django.utils.formats import date_format
from django.utils.safestring import SafeString

from inventory.core.money import format_money
from quotes.core.periods import Period
from quotes.pool.selectors import PeriodView
from workshop.shop.templatetags.ui import stage_chip

register = template.Library()


@register.filter
def span(period: Period) -> str:
    """Return a period as people say it: “Jan to Mar 2026”, with days where it is cut short."""
    first, last = period.starts_on, period.ends_on
    start = date_format(first, "j M" if first.day > 1 else "M")
    if first.year != last.year:
        start = f"{start} {first.year}"
    end = date_format(last, "M Y")
    return end if start == date_format(last, "M") else f"{start} to {end}"


@register.simple_tag
def period_chip(view: PeriodView) -> SafeString:
    """Return where a period stands as shape and word."""
    if view.declared:
        return stage_chip("accepted", "declared")
    if view.running:
        return stage_chip("inspecting", "running")
    return stage_chip("sent", "ended")


@register.simple_tag(takes_context=True)
def minus(context: Context, amount: Decimal) -> str:
    """Return an amount that is taken off, with its sign."""
    shop = context["shop"]
    return format_money(-amount, shop.currency, shop.locale)


@register.filter
def rate_in(rate: Decimal) -> str:
    """Return the fraction of a margin that is VAT, exactly: “20 % in it: 20/120”."""
    percent = (rate * 100).normalize()
    return f"{percent:f}/{100 + percent:f} of it"
