"""Template tags of job cards: keys for forms, minutes, torques in both units."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from decimal import ROUND_HALF_UP, Decimal

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString

from inventory.core.fitting import Fit
from inventory.stock.models import plain
from workshop.jobcards.afterwards import torque_words

register = template.Library()
HOUR = 60


@register.simple_tag
def a_key() -> str:
    """Return a key for a form that is shown: sent twice under it, it is done once."""
    return f"form:{uuid.uuid4()}"


@register.simple_tag
def key_field() -> SafeString:
    """Return the hidden field that carries a form's key, a new one each time it is shown."""
    return format_html('<input type="hidden" name="key" value="{}">', a_key())


@register.filter
def minutes(amount: Decimal) -> str:
    """Return minutes as people say them: “12 min”, “1 h 5 min”."""
    whole = int(amount.quantize(Decimal(1), ROUND_HALF_UP))
    hours, rest = divmod(whole, HOUR)
    return f"{hours} h {rest} min" if hours and rest else f"{hours} h" if hours else f"{rest} min"


@register.filter
def torque(figure: tuple[Decimal | None, Decimal | None]) -> str:
    """Return a torque figure in N·m and in lbf·in."""
    return torque_words(*figure)


@register.filter
def quantity(amount: Decimal) -> str:
    """Return a quantity without needless zeros."""
    return plain(amount)


@register.filter
def fit_of(fits: Mapping[int, Fit], part: int) -> Fit | None:
    """Return whether a part (by pk) fits the bike, None where nothing tells."""
    return fits.get(part)


@register.filter
def among(word: str, words: str) -> bool:
    """Tell whether a word is one of those in a list with spaces."""
    return word in words.split()
