"""The scatter plot: points of several kinds, a curve through them, and one that is looked for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from xml.etree.ElementTree import Element

from quotes.charts.axes import ROW, Box, Sign, across, key, key_rows, label_room, upright
from quotes.charts.chart import Axis, Chart, Figure
from quotes.charts.scale import Scale, nice_scale
from quotes.charts.svg import disc, finished, group, line, number, path, picture, text, width_of
from workshop.core.shapes import INK, INK_SOFT, OCHRE, PLUM, SHEET, TEAL

WIDTH, PLOT_BOTTOM, TOP = 400.0, 268.0, 30.0
UNDER_AXIS = 54.0


class Sort(StrEnum):
    """How a point is drawn; each has a shape of its own."""

    FULL = "full"
    RING = "ring"
    CROSS = "cross"


@dataclass(frozen=True, slots=True)
class Point:
    """A point with its name and the sort that it is drawn as."""

    name: str
    x: Figure
    y: Figure
    sort: Sort = Sort.FULL


@dataclass(frozen=True, slots=True)
class Target:
    """The point looked for: its place, and the range that it lies in."""

    name: str
    x: Figure
    y: Figure
    low: Figure
    high: Figure


@dataclass(frozen=True, slots=True)
class Words:
    """What a scatter plot says: title, description, its curve, and each sort of point."""

    title: str
    desc: str
    name: str
    curve: str
    sorts: dict[Sort, str]


def scatter(
    chart_id: str,
    words: Words,
    axes: tuple[Axis, Axis],
    points: Sequence[Point],
    *,
    curve: Sequence[tuple[float, float]] = (),
    target: Target | None = None,
) -> Chart:
    """Draw points over two axes; the table beneath has them in the order given.

    Raises:
        ValueError: there is nothing to draw.
    """
    if not points:
        raise ValueError("A scatter plot needs a point.")
    entries = _key_entries(words, points, target, curve=bool(curve))
    rows = key_rows(entries, WIDTH - 10)
    height = PLOT_BOTTOM + UNDER_AXIS + len(rows) * ROW
    root = picture(chart_id, WIDTH, height, words.title, words.desc)
    box, across_scale, upright_scale = _scales(axes, points, curve, target)
    upright(root, box, upright_scale, axes[1])
    across(root, box, across_scale, axes[0], WIDTH)
    if curve:
        places = [(across_scale.at(x), upright_scale.at(y)) for x, y in curve]
        line(root, places, stroke=OCHRE, stroke_width="2.6")
    for point in points:
        hint = f"{point.name}: {axes[0].show(point.x)}, {axes[1].show(point.y)}"
        place = across_scale.at(float(point.x)), upright_scale.at(float(point.y))
        SIGNS[point.sort](group(root, hint), *place)
    if target:
        _draw_target(root, box, target, across_scale, upright_scale)
    key(root, rows, 4, PLOT_BOTTOM + UNDER_AXIS + 4)
    return _chart(words, axes, points, target, root)


def _scales(
    axes: tuple[Axis, Axis],
    points: Sequence[Point],
    curve: Sequence[tuple[float, float]],
    target: Target | None,
) -> tuple[Box, Scale, Scale]:
    """Return the box of the plot, and scales that hold all that is drawn."""
    wide = [float(each.x) for each in points] + [x for x, _ in curve]
    tall = [0.0, *(float(each.y) for each in points), *(y for _, y in curve)]
    if target:
        wide.append(float(target.x))
        tall += [float(target.low), float(target.high), float(target.y)]
    upright_scale = nice_scale(min(tall), max(tall), PLOT_BOTTOM, TOP)
    box = Box(label_room(axes[1], upright_scale.ticks), TOP, WIDTH - 14, PLOT_BOTTOM)
    margin = 10
    across_scale = nice_scale(min(wide), max(wide), box.left + margin, box.right - margin, most=8)
    return box, across_scale, upright_scale


def _draw_target(
    root: Element, box: Box, target: Target, across_scale: Scale, upright_scale: Scale
) -> None:
    """Draw the point looked for with its range, and its name where there is room."""
    x, y = across_scale.at(float(target.x)), upright_scale.at(float(target.y))
    low, high = upright_scale.at(float(target.low)), upright_scale.at(float(target.high))
    made = group(root, target.name)
    for colour, extra in ((SHEET, 3.0), (PLUM, 0.0)):
        stroke = {"stroke": colour, "stroke_width": number(2.2 + extra)}
        line(made, [(x, low), (x, high)], **stroke)
        for end in (low, high):
            line(made, [(x - 9, end), (x + 9, end)], **stroke)
    diamond(made, x, y)
    room_right = x + 14 + width_of(target.name) < box.right
    place, anchor = (x + 13, "start") if room_right else (x - 13, "end")
    text(made, place, max(high - 6, box.top + 8), target.name, anchor=anchor, bold=True)


def full(parent: Element, x: float, y: float) -> None:
    """Draw a full disc."""
    disc(parent, x, y, 4.2, fill=INK, stroke=SHEET, stroke_width="1")


def ring(parent: Element, x: float, y: float) -> None:
    """Draw a ring."""
    disc(parent, x, y, 4.2, fill=SHEET, stroke=TEAL, stroke_width="2.2")


def cross(parent: Element, x: float, y: float) -> None:
    """Draw a cross."""
    a, b = number(x - 4), number(x + 4)
    c, d = number(y - 4), number(y + 4)
    path(parent, f"M{a} {c}L{b} {d}M{a} {d}L{b} {c}", stroke=INK_SOFT, stroke_width="2")


def diamond(parent: Element, x: float, y: float) -> None:
    """Draw a large diamond with a dot in it."""
    corners = ((x, y - 8), (x + 8, y), (x, y + 8), (x - 8, y))
    data = "M" + "L".join(f"{number(a)} {number(b)}" for a, b in corners) + "Z"
    path(parent, data, fill=PLUM, stroke=SHEET, stroke_width="2")
    disc(parent, x, y, 2.4, fill=SHEET)


def stroke(parent: Element, x: float, y: float) -> None:
    """Draw a piece of the curve, for the key."""
    line(parent, [(x - 10, y), (x + 10, y)], stroke=OCHRE, stroke_width="2.6")


SIGNS: dict[Sort, Sign] = {Sort.FULL: full, Sort.RING: ring, Sort.CROSS: cross}


def _key_entries(
    words: Words, points: Sequence[Point], target: Target | None, *, curve: bool
) -> list[tuple[Sign, str]]:
    """Return the signs that stand in the chart, each with its words."""
    there = {point.sort for point in points}
    entries = [(SIGNS[sort], words.sorts[sort]) for sort in Sort if sort in there]
    if curve:
        entries.append((stroke, words.curve))
    if target:
        entries.append((diamond, target.name))
    return entries


def _chart(
    words: Words,
    axes: tuple[Axis, Axis],
    points: Sequence[Point],
    target: Target | None,
    root: Element,
) -> Chart:
    rows = [
        (point.name, axes[0].show(point.x), axes[1].show(point.y), words.sorts[point.sort])
        for point in points
    ]
    if target:
        span = f"{axes[1].show(target.low)} to {axes[1].show(target.high)}"
        rows.append((target.name, axes[0].show(target.x), axes[1].show(target.y), span))
    head = (words.name, axes[0].label, axes[1].label, "what it is")
    return Chart(words.title, finished(root), head, tuple(rows), (False, True, True, False))
