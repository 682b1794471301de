"""The histogram: how often what comes out, with the 10 %, 50 % and 90 % points marked."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from xml.etree.ElementTree import Element

from quotes.charts.axes import ROW, Box, Sign, across, key, key_rows
from quotes.charts.chart import Axis, Chart
from quotes.charts.scale import Scale, nice_scale, nice_step
from quotes.charts.svg import (
    SIZE,
    filled,
    finished,
    group,
    line,
    picture,
    rectangle,
    start_of,
    text,
    width_of,
)
from workshop.core.shapes import OCHRE, PLUM, SHEET, TEAL

WIDTH, SIDE, TOP, BARS = 400.0, 12.0, 8.0, 170.0
MOST_BINS = 40
UNDER_AXIS = 54.0
TENTHS = ("P10", "P50", "P90")


@dataclass(frozen=True, slots=True)
class Zone:
    """Part of the figures, up to (not including) ``below``; None for all that is left.

    ``fill`` is "solid", "hatched" or "empty", so that zones differ in black and white too.
    """

    words: str
    fill: str
    below: float | None = None


@dataclass(frozen=True, slots=True)
class Bin:
    """A bar: from ``low`` up to ``high``, and how many figures lie there."""

    low: float
    high: float
    count: int


def bins_of(values: Sequence[float], most: int = MOST_BINS) -> tuple[Bin, ...]:
    """Return the bars, their edges at round figures.

    Raises:
        ValueError: there are no figures.
    """
    if not len(values):
        raise ValueError("A histogram needs figures.")
    low, high = float(min(values)), float(max(values))
    width = nice_step(high - low, most - 1) if high > low else 1.0
    first = math.floor(low / width)
    counts = [0] * (math.floor(high / width) - first + 1)
    for value in values:
        counts[math.floor(float(value) / width) - first] += 1
    return tuple(
        Bin(round((first + at) * width, 10), round((first + at + 1) * width, 10), count)
        for at, count in enumerate(counts)
    )


def histogram(
    chart_id: str,
    title: str,
    desc: str,
    axis: Axis,
    values: Sequence[float],
    tenths: tuple[float, float, float],
    *,
    zones: Sequence[Zone] = (Zone("", "solid"),),
    marks: Sequence[tuple[float, str]] = (),
) -> Chart:
    """Draw how often figures fall where; ``tenths`` are their 10 %, 50 % and 90 % points.

    ``marks`` are further places to mark, each with its word, such as a target.
    """
    bins = bins_of(values)
    named = [*zip(tenths, TENTHS, strict=True), *marks]
    levels = _levels(named, bins, axis)
    top = TOP + (max(levels) + 1) * ROW
    named_zones = [(_sign(zone), zone.words) for zone in zones if zone.words]
    rows = key_rows(named_zones, WIDTH - 10) if named_zones else []
    height = top + BARS + UNDER_AXIS + len(rows) * ROW
    root = picture(chart_id, WIDTH, height, title, desc)
    box = Box(SIDE, top, WIDTH - SIDE, top + BARS)
    scale = _scale(bins, named)
    _bars(root, box, scale, bins, zones, axis)
    across(root, box, scale, axis, WIDTH)
    for (value, word), level in zip(named, levels, strict=True):
        _mark(root, box, scale.at(value), level, tenth=word in TENTHS)
    for (value, word), level in zip(named, levels, strict=True):
        _mark_words(
            root, scale.at(value), f"{word} {axis.show(value)}", level, tenth=word in TENTHS
        )
    key(root, rows, 4, box.bottom + UNDER_AXIS + 4)
    return _chart(title, root, axis, bins, named)


def _scale(bins: Sequence[Bin], named: Sequence[tuple[float, str]]) -> Scale:
    low = min(bins[0].low, *(value for value, _ in named))
    high = max(bins[-1].high, *(value for value, _ in named))
    return nice_scale(low, high, SIDE, WIDTH - SIDE, most=7)


def _levels(named: Sequence[tuple[float, str]], bins: Sequence[Bin], axis: Axis) -> list[int]:
    """Return the row that each mark's words stand in, so that none touch."""
    scale = _scale(bins, named)
    free: list[float] = []
    levels = {}
    for value, word in sorted(named):
        wide = width_of(f"{word} {axis.show(value)}")
        start = start_of(scale.at(value), wide, WIDTH)
        level = next((at for at, end in enumerate(free) if end < start), len(free))
        free[level : level + 1] = [start + wide + SIZE]
        levels[value, word] = level
    return [levels[each] for each in named]


def _zone_at(value: float, zones: Sequence[Zone]) -> int:
    return next(
        (at for at, zone in enumerate(zones) if zone.below is None or value < zone.below),
        len(zones) - 1,
    )


COLOURS = {"hatched": PLUM, "empty": OCHRE, "solid": TEAL}


def _sign(zone: Zone) -> Sign:
    def drawn(parent: Element, x: float, y: float) -> None:
        filled(parent, zone.fill, (x - 9, y - 7, 18, 14), COLOURS[zone.fill])

    return drawn


def _bars(
    root: Element,
    box: Box,
    scale: Scale,
    bins: Sequence[Bin],
    zones: Sequence[Zone],
    axis: Axis,
) -> None:
    most = max(each.count for each in bins)
    total = sum(each.count for each in bins)
    for each in bins:
        if not each.count:
            continue
        zone = zones[_zone_at((each.low + each.high) / 2, zones)]
        left, right = scale.at(each.low), scale.at(each.high)
        height = each.count / most * (box.bottom - box.top)
        hint = f"{axis.show(each.low)} to {axis.show(each.high)}: {each.count / total:.1%}"
        shape = (left + 0.5, box.bottom - height, max(right - left - 1, 0.5), height)
        filled(group(root, hint), zone.fill, shape, COLOURS[zone.fill])


def _height(level: int) -> float:
    """Return the baseline of a mark's words."""
    return TOP + (level + 1) * ROW - SIZE * 0.6


def _mark(root: Element, box: Box, x: float, level: int, *, tenth: bool) -> None:
    """Draw a mark's line down to the axis, dashed where it is none of the tenths."""
    looks = {} if tenth else {"stroke_dasharray": "5 3"}
    line(root, [(x, _height(level) + 4), (x, box.bottom)], stroke_width="1.8", **looks)


def _mark_words(root: Element, x: float, words: str, level: int, *, tenth: bool) -> None:
    """Write a mark's words, on paper of their own where another mark's line passes."""
    wide, y = width_of(words), _height(level)
    start = start_of(x, wide, WIDTH)
    rectangle(root, start - 3, y - SIZE, wide + 6, SIZE + 4, fill=SHEET)
    text(root, start + wide / 2, y, words, anchor="middle", bold=tenth)


def _chart(
    title: str,
    root: Element,
    axis: Axis,
    bins: Sequence[Bin],
    named: Sequence[tuple[float, str]],
) -> Chart:
    total = sum(each.count for each in bins)
    rows = [
        (
            f"{axis.show(each.low)} to {axis.show(each.high)}",
            str(each.count),
            f"{each.count / total:.1%}",
        )
        for each in bins
    ]
    rows += [(word, axis.show(value), "") for value, word in named]
    return Chart(
        title, finished(root), (axis.label, "how many", "share"), tuple(rows), (False, True, True)
    )
