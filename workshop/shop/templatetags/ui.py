"""Template tags for the pieces that every page is made of: marks, chips, money, fields, drawing."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from typing import Any

from django import template
from django.forms import BoundField, CheckboxInput, CheckboxSelectMultiple, Form, RadioSelect
from django.template import Context
from django.template.loader import get_template
from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe

from inventory.core.money import format_money
from workshop.core.drawing import GAP, Drawing, Mark, spread
from workshop.core.shapes import SHAPES, SHEET, WORDS, shape

register = template.Library()

MIDDLE = 320
"""What stands left of it on a drawing, in its units, is the rear half of the bike."""

STAGE_KINDS = {
    "booked_in": "waiting",
    "inspecting": "going",
    "inspected": "waiting",
    "quoted": "going",
    "draft": "going",
    "sent": "waiting",
    "accepted": "done",
    "in_work": "going",
    "ready": "waiting",
    "working": "going",
    "checking": "waiting",
    "released": "done",
    "to_do": "plain",
    "done": "done",
    "stopped": "stopped",
    "dropped": "stopped",
    "waiting": "waiting",
    "on_bench": "going",
    "person": "waiting",
    "parts": "waiting",
    "customer": "waiting",
    "check": "waiting",
    "agreed": "done",
    "part_accepted": "done",
    "bought": "done",
    "sold": "done",
    "refused": "stopped",
    "left": "stopped",
    "superseded": "stopped",
    "buy": "done",
    "haggle": "waiting",
    "leave": "stopped",
    "open": "waiting",
    "ordered": "waiting",
    "part_delivered": "going",
    "closed": "done",
    "cancelled": "stopped",
    "late": "waiting",
}
STAGE_SHAPES = {
    "plain": '<circle cx="8" cy="8" r="5"/>',
    "waiting": '<path d="M4.5 3v10m7-10v10"/>',
    "going": '<path d="M3.5 3l9 5-9 5z" fill="currentColor"/>',
    "done": '<path d="M2 9l4 4 8-10"/>',
    "stopped": '<path d="M3 3l10 10m0-10L3 13"/>',
}
NOTICE_KINDS = {
    "info": (
        '<circle cx="12" cy="12" r="10" fill="none" stroke="#1d2330" stroke-width="2.4"/>'
        '<path d="M12 10.5V18M12 5.8v2.6" stroke="#1d2330" stroke-width="3"/>'
    ),
    "warn": '<path d="M12 2v13M12 18.2v3.8" stroke="#855000" stroke-width="4.4"/>',
    "stop": (
        '<path d="M8 2h8l6 6v8l-6 6H8l-6-6V8z" fill="#6b1c4f"/>'
        '<path class="knock" d="M6 10.2h12v3.6H6z" fill="#fffaf0"/>'
    ),
    "done": '<path d="M2.5 13l6 6L21.5 4" fill="none" stroke="#0b5962" stroke-width="4"/>',
}
MESSAGE_KINDS = {
    "debug": "info",
    "info": "info",
    "success": "done",
    "warning": "warn",
    "error": "stop",
}


@register.simple_tag
def judgement_shape(judgement: str, size: int = 24) -> SafeString:
    """Return a judgement's shape alone, for places where the word already stands."""
    return mark_safe(shape(str(judgement), size))  # noqa: S308 - our own constants


@register.simple_tag
def judgement_mark(judgement: str) -> SafeString:
    """Return a judgement as shape and word."""
    key = str(judgement)
    return format_html(
        '<span class="mark mark-{}">{}<span>{}</span></span>',
        key,
        judgement_shape(key),
        WORDS[key],
    )


@register.filter
def judgement_word(judgement: str) -> str:
    """Return the word for a judgement, "not yet looked at" and "could not test" included."""
    return WORDS[str(judgement)]


@register.simple_tag
def stage_chip(stage: str, label: str = "") -> SafeString:
    """Return where something stands as shape and word.

    ``label`` is the word; without it a value of a ``TextChoices`` gives its own label, and plain
    text is shown with spaces for underscores.
    """
    key = str(stage)
    kind = STAGE_KINDS.get(key, "plain")
    word = label or getattr(stage, "label", "") or key.replace("_", " ")
    return format_html(
        '<span class="chip chip-{}"><svg viewBox="0 0 16 16" width="16" height="16"'
        ' fill="none" stroke="currentColor" stroke-width="3" aria-hidden="true">{}</svg>'
        "<span>{}</span></span>",
        kind,
        mark_safe(STAGE_SHAPES[kind]),  # noqa: S308 - our own constants
        word,
    )


@register.simple_tag
def notice_shape(kind: str) -> SafeString:
    """Return the shape of a notice: info, warn, stop or done, or a Django message level."""
    inner = NOTICE_KINDS[MESSAGE_KINDS.get(kind, kind or "info")]
    return mark_safe(  # noqa: S308 - our own constants
        f'<svg viewBox="0 0 24 24" width="24" height="24" aria-hidden="true">{inner}</svg>'
    )


@register.filter
def notice_kind(level: str) -> str:
    """Return the kind of notice for a Django message level."""
    return MESSAGE_KINDS.get(level, "info")


@register.simple_tag(takes_context=True)
def money(context: Context, amount: Decimal | None) -> str:
    """Return an amount in the shop's currency and number style; a dash where there is none.

    Needs ``shop`` in the context.
    """
    if amount is None:
        return "–"
    shop = context["shop"]
    return format_money(amount, shop.currency, shop.locale)


@register.filter(name="money")
def money_filter(amount: Decimal | None, shop: Any) -> str:  # noqa: ANN401 - a Shop, or its like
    """Return an amount in the currency of the shop given: ``{{ total|money:shop }}``."""
    return "–" if amount is None else format_money(amount, shop.currency, shop.locale)


@register.simple_tag
def filter_words(form: Form) -> list[str]:
    """Return in words what a list is narrowed down to; the first field, the search, left out."""
    fields = form.visible_fields()[1:]
    return [str(word) for bound in fields for word in _chosen(bound)]


def _chosen(bound: BoundField) -> Iterator[object]:
    """Yield the words of what is chosen in a field; nothing where nothing is."""
    value = bound.value()
    if not value:
        return
    choices = getattr(bound.field, "choices", None)
    if choices is None:
        yield f"{bound.label} {value}"
    else:
        yield from (word for key, word in choices if str(key) == str(value))


@register.simple_tag
def field(bound: BoundField, choices: str = "", unit: str = "", before: str = "") -> str:
    """Return a form field with label, help and error.

    ``choices`` "large" makes radios or checkboxes large buttons; ``unit`` stands behind the
    input, ``before`` in front of it (a currency sign).
    """
    widget = bound.field.widget
    kind = "input"
    if isinstance(widget, RadioSelect | CheckboxSelectMultiple):
        kind = "choices"
    elif isinstance(widget, CheckboxInput):
        kind = "check"
    context = {"field": bound, "kind": kind, "choices": choices, "unit": unit, "before": before}
    return get_template("components/field.html").render(context)


@register.simple_tag
def bike_drawing(drawing: Drawing) -> str:
    """Return the line drawing of a bike with its marks, as inline SVG for browser and PDF."""
    marks = spread(drawing.marks)
    context = {
        "drawing": drawing,
        "art": f"components/drawing_{drawing.shape}.svg",
        "linked": any(mark.url for mark in marks),
        "from_rear": bool(drawing.marks) and drawing.marks[0].x < MIDDLE,
        "leaders": [mark for mark in marks if mark.moved],
        "marks": [(mark, _mark_name(mark), _shape_of(mark)) for mark in marks],
        "radius": GAP / 2,
        "sheet": SHEET,
    }
    return get_template("components/drawing.html").render(context)


def _mark_name(mark: Mark) -> str:
    """Return what a screen reader says for a mark."""
    return f"{mark.number} {mark.label}: {WORDS[mark.judgement]}".strip()


def _shape_of(mark: Mark) -> SafeString:
    """Return the inner shape of a mark."""
    return mark_safe(SHAPES[mark.judgement])  # noqa: S308 - our own constants
