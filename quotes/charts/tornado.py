"""The tornado chart: what each fact does to the outcome, the one that moves it most on top."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from xml.etree.ElementTree import Element

from quotes.charts.axes import ROW, Box, across, key
from quotes.charts.chart import Axis, Chart
from quotes.charts.scale import Scale, nice_scale
from quotes.charts.svg import SIZE, filled, finished, group, line, picture, text
from workshop.core.shapes import INK, OCHRE, TEAL

WIDTH, SIDE, TOP, BAR, EACH = 400.0, 16.0, 26.0, 20.0, 50.0
UNDER_AXIS = 54.0


@dataclass(frozen=True, slots=True)
class Swing:
    """A fact, in words at its low and at its high, and the outcome that each leads to."""

    fact: str
    at_low: str
    at_high: str
    low: float
    high: float

    @property
    def span(self) -> float:
        """Return how far the outcome moves."""
        return abs(self.high - self.low)


def tornado(
    chart_id: str,
    title: str,
    desc: str,
    axis: Axis,
    likely: float,
    swings: Sequence[Swing],
    *,
    most: int = 3,
    middle: str = "likely",
) -> Chart:
    """Draw the facts that move the outcome most, about the outcome called ``middle``.

    Raises:
        ValueError: there are no facts.
    """
    if not swings:
        raise ValueError("A tornado chart needs a fact.")
    shown = sorted(swings, key=lambda each: -each.span)[:most]
    ends = [likely, *(each.low for each in shown), *(each.high for each in shown)]
    bottom = TOP + EACH * len(shown) + 4
    height = bottom + UNDER_AXIS + ROW
    root = picture(chart_id, WIDTH, height, title, desc)
    box = Box(SIDE, TOP, WIDTH - SIDE, bottom)
    scale = nice_scale(min(ends), max(ends), box.left, box.right, most=6)
    for number, swing in enumerate(shown):
        _bar(root, scale, swing, likely, TOP + number * EACH)
    x = scale.at(likely)
    line(root, [(x, TOP - 6), (x, TOP)], stroke=INK, stroke_width="2")
    anchor = "start" if x < WIDTH / 3 else "end" if x > WIDTH * 2 / 3 else "middle"
    text(root, x, TOP - 11, f"{middle} {axis.show(likely)}", anchor=anchor, bold=True)
    across(root, box, scale, axis, WIDTH)
    signs = [(_low, "the fact at its low"), (_high, "at its high")]
    key(root, [signs], 4, bottom + UNDER_AXIS + 4)
    return _chart(title, root, axis, (middle, likely), shown)


def _bar(root: Element, scale: Scale, swing: Swing, likely: float, top: float) -> None:
    """Draw a fact: its words, and below them both outcomes as bars from the likely one."""
    middle = scale.at(likely)
    made = group(root)
    ends = [scale.at(swing.low), scale.at(swing.high)]
    words = f"{swing.fact}: {swing.at_low} to {swing.at_high}"
    text(made, SIDE, top + SIZE, words)
    for kind, end, colour in (("hatched", ends[0], OCHRE), ("solid", ends[1], TEAL)):
        start, width = min(middle, end), abs(end - middle)
        if width > 0:
            filled(made, kind, (start, top + SIZE + 7, width, BAR), colour)
    line(made, [(middle, top + SIZE + 4), (middle, top + SIZE + BAR + 10)], stroke_width="2")


def _low(parent: Element, x: float, y: float) -> None:
    filled(parent, "hatched", (x - 9, y - 7, 18, 14), OCHRE)


def _high(parent: Element, x: float, y: float) -> None:
    filled(parent, "solid", (x - 9, y - 7, 18, 14), TEAL)


def _chart(
    title: str,
    root: Element,
    axis: Axis,
    middle: tuple[str, float],
    shown: Sequence[Swing],
) -> Chart:
    word, figure = middle
    rows = [
        (each.fact, each.at_low, axis.show(each.low), each.at_high, axis.show(each.high))
        for each in shown
    ]
    rows.append((word, "", axis.show(figure), "", axis.show(figure)))
    head = ("fact", "at its low", f"then {axis.label}", "at its high", f"then {axis.label}")
    return Chart(title, finished(root), head, tuple(rows), (False, False, True, False, True))
