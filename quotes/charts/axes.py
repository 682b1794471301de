"""Axes: ticks, their figures and what they measure; and the key below a chart."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from xml.etree.ElementTree import Element

from quotes.charts.chart import Axis
from quotes.charts.scale import Scale
from quotes.charts.svg import SIZE, group, line, start_of, text, width_of
from workshop.core.shapes import INK, INK_SOFT

GAP = 6.0
ROW = 20.0
SIGN = 26.0
Sign = Callable[[Element, float, float], None]


@dataclass(frozen=True, slots=True)
class Box:
    """The part of the paper that the figures stand in."""

    left: float
    top: float
    right: float
    bottom: float


def label_room(axis: Axis, ticks: Sequence[float]) -> float:
    """Return the room that an upright axis's figures need to its left."""
    return max(width_of(axis.at_tick(tick)) for tick in ticks) + 2 * GAP


def across(parent: Element, box: Box, scale: Scale, axis: Axis, paper: float) -> None:
    """Draw the axis at the foot: ticks, figures that do not touch, and its name.

    ``paper`` is the width that all words keep within.
    """
    made = group(parent)
    line(made, [(box.left, box.bottom), (box.right, box.bottom)], stroke_width="1.5")
    free = float("-inf")
    for tick in scale.ticks:
        x, words = scale.at(tick), axis.at_tick(tick)
        line(made, [(x, box.bottom), (x, box.bottom + 4)], stroke_width="1.5")
        start = start_of(x, width_of(words), paper)
        if start > free:
            middle = start + width_of(words) / 2
            text(made, middle, box.bottom + SIZE + GAP, words, anchor="middle")
            free = start + width_of(words) + GAP
    middle = (box.left + box.right) / 2
    text(made, middle, box.bottom + 2 * SIZE + 2 * GAP, axis.label, anchor="middle", soft=True)


def upright(parent: Element, box: Box, scale: Scale, axis: Axis) -> None:
    """Draw the axis at the left: hairlines, figures, and its name above them."""
    made = group(parent)
    for tick in scale.ticks:
        y = scale.at(tick)
        looks = {"stroke": INK_SOFT, "stroke_width": "0.6", "stroke_opacity": "0.45"}
        line(made, [(box.left, y), (box.right, y)], **looks)
        text(made, box.left - GAP, y + SIZE * 0.35, axis.at_tick(tick), anchor="end")
    line(made, [(box.left, box.top), (box.left, box.bottom)], stroke=INK, stroke_width="1.5")
    text(made, 2, box.top - 2 * GAP, axis.label, soft=True)


def key_rows(entries: Sequence[tuple[Sign, str]], width: float) -> list[list[tuple[Sign, str]]]:
    """Return the entries of a key in rows that fit the width."""
    rows: list[list[tuple[Sign, str]]] = [[]]
    used = 0.0
    for entry in entries:
        need = SIGN + width_of(entry[1]) + 2 * GAP
        if rows[-1] and used + need > width:
            rows.append([])
            used = 0.0
        rows[-1].append(entry)
        used += need
    return rows


def key(parent: Element, rows: Sequence[Sequence[tuple[Sign, str]]], x: float, y: float) -> None:
    """Draw a key, its first row at ``y``."""
    for number, row in enumerate(rows):
        middle, at = y + number * ROW, x
        for sign, words in row:
            sign(parent, at + SIGN / 2 - 2, middle)
            text(parent, at + SIGN, middle + SIZE * 0.35, words)
            at += SIGN + width_of(words) + 2 * GAP
