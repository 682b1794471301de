"""Scales: from figures to places on the paper, with ticks at round figures."""

from __future__ import annotations

import math
from dataclasses import dataclass

ROUND = (1, 2, 5, 10)


@dataclass(frozen=True, slots=True)
class Scale:
    """A linear scale from ``low``–``high`` to ``start``–``end`` in units of the drawing."""

    low: float
    high: float
    start: float
    end: float
    ticks: tuple[float, ...]

    def at(self, value: float) -> float:
        """Return the place of a value."""
        share = (value - self.low) / (self.high - self.low)
        return self.start + share * (self.end - self.start)


def nice_step(span: float, most: int) -> float:
    """Return the smallest step of 1, 2 or 5 times a power of ten that takes at most ``most``.

    Raises:
        ValueError: the span is not above zero, or no step is allowed.
    """
    if not span > 0 or most < 1:
        raise ValueError(f"A scale needs a span above zero and a step, not {span} in {most}.")
    power = 10.0 ** math.floor(math.log10(span / most))
    return next(each * power for each in ROUND if each * power * most >= span * (1 - 1e-12))


def nice_scale(low: float, high: float, start: float, end: float, *, most: int = 6) -> Scale:
    """Return a scale that begins and ends at a tick and holds both figures.

    A single figure gets room of one on both sides.
    """
    if low == high:
        low, high = low - 1, high + 1
    step = nice_step(high - low, most)
    first, last = math.floor(low / step + 1e-9), math.ceil(high / step - 1e-9)
    ticks = tuple(round(number * step, 10) for number in range(first, last + 1))
    return Scale(ticks[0], ticks[-1], start, end, ticks)
