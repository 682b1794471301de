"""Template tags of the bench: minutes and shares in words, a week's bar."""

from __future__ import annotations

from decimal import Decimal

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString

from workshop.bench.board import Week

register = template.Library()
HOUR, WHOLE = 60, 100
INK, PLUM, SHEET = "#1d2330", "#6b1c4f", "#fffaf0"


@register.filter
def spoken(minutes: float) -> str:
    """Return minutes as people say them: “12 min”, “1 h 5 min”."""
    hours, rest = divmod(round(minutes), HOUR)
    return f"{hours} h {rest} min" if hours and rest else f"{hours} h" if hours else f"{rest} min"


@register.filter
def percent(share: float | Decimal) -> str:
    """Return a fraction in whole per cent."""
    return f"{share * WHOLE:.0f}\u00a0%"


@register.simple_tag
def week_bar(week: Week) -> SafeString:
    """Return a week's bar: a frame as long as its bench time, the work in it, what is over hatched.

    It repeats what the row's figures say, so that it is hidden from those who listen.
    """
    over = "".join(
        f"M{week.load_width + step} 16l4-16" for step in range(1, max(week.over_width - 3, 0), 3)
    )
    return format_html(
        '<svg class="week-bar" viewBox="0 0 102 18" preserveAspectRatio="none" aria-hidden="true">'
        '<rect x="1" y="1" width="{}" height="16" fill="{}" stroke="{}" stroke-width="1"/>'
        '<rect x="1" y="4" width="{}" height="10" fill="{}"/>'
        '<path transform="translate(1 1)" d="{}" stroke="{}" stroke-width="1.2" fill="none"/>'
        "</svg>",
        week.bench_width,
        SHEET,
        INK,
        week.load_width,
        INK,
        over,
        PLUM,
    )
