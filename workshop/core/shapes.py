"""The shapes of the judgements as SVG, drawn about (0, 0) within a radius of 10 units.

Essentials are presentation attributes, not classes: the same markup is drawn in the browser and
in the PDF. Parts of class ``knock`` show the paper through the shape.
"""

from __future__ import annotations

INK = "#1d2330"
INK_SOFT = "#4a4f5e"
OCHRE = "#855000"
PLUM = "#6b1c4f"
TEAL = "#0b5962"
SHEET = "#fffaf0"

NOT_LOOKED_AT = "unseen"
NOT_TESTED = "not_tested"

WORDS = {
    NOT_LOOKED_AT: "not yet looked at",
    "sound": "sound",
    "watch": "watch",
    "needs_work": "needs work",
    "unsafe": "unsafe",
    NOT_TESTED: "could not test",
}

COLOURS = {
    NOT_LOOKED_AT: INK_SOFT,
    "sound": INK,
    "watch": TEAL,
    "needs_work": OCHRE,
    "unsafe": PLUM,
    NOT_TESTED: INK_SOFT,
}

SHAPES = {
    NOT_LOOKED_AT: (
        f'<circle r="8.5" fill="{SHEET}" class="knock" stroke="{INK_SOFT}" stroke-width="2"'
        ' stroke-dasharray="3.4 3.28"/>'
    ),
    "sound": f'<circle r="8.2" fill="{SHEET}" class="knock" stroke="{INK}" stroke-width="3.2"/>',
    "watch": (
        f'<circle r="8.7" fill="{SHEET}" class="knock" stroke="{TEAL}" stroke-width="2.2"/>'
        f'<path d="M0 -8.7A8.7 8.7 0 0 0 0 8.7Z" fill="{TEAL}" stroke="none"/>'
    ),
    "needs_work": (
        f'<rect x="-8.6" y="-8.6" width="17.2" height="17.2" fill="{OCHRE}" stroke="none"/>'
    ),
    "unsafe": (
        f'<path d="M0 -10.5L11 9.2H-11Z" fill="{PLUM}" stroke="{PLUM}" stroke-width="1"/>'
        f'<path d="M-7.2 0.4H7.2V4H-7.2Z" fill="{SHEET}" class="knock" stroke="none"/>'
    ),
    NOT_TESTED: (
        f'<path d="M0 -10.4L10.4 0L0 10.4L-10.4 0Z" fill="{SHEET}" class="knock"'
        f' stroke="{INK_SOFT}" stroke-width="2"/>'
        f'<path d="M-3.6 -3.6L3.6 3.6M3.6 -3.6L-3.6 3.6" fill="none" stroke="{INK_SOFT}"'
        ' stroke-width="2"/>'
    ),
}


def shape(judgement: str, size: int = 24) -> str:
    """Return a judgement's shape as a whole SVG of ``size`` by ``size`` px, hidden from readers.

    The word beside it is what assistive technology reads. Raises ``KeyError`` for a word that is
    not a judgement.
    """
    return (
        f'<svg class="shape" viewBox="-12 -12 24 24" width="{size}" height="{size}"'
        f' aria-hidden="true" focusable="false">{SHAPES[judgement]}</svg>'
    )
