"""Where the marks stand on the line drawing of a bike."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from math import ceil, cos, hypot, pi, sin, sqrt

from workshop.core.shapes import SHAPES

LEFT, TOP, RIGHT, BOTTOM = 40, 30, 600, 415
"""The part of the 640 by 420 drawing that is shown; nothing is drawn outside it."""

GAP = 34
EDGE = 18

_GOLDEN_TURN = pi * (3 - sqrt(5))


@dataclass(frozen=True, slots=True)
class Mark:
    """One checkpoint on a drawing; ``x`` and ``y`` in drawing units (640 by 420, y downwards).

    ``judgement`` is one of the keys of ``shapes.WORDS``. ``url`` may be empty: then the mark is
    not a link. ``at_x`` and ``at_y`` keep the place meant where the mark was moved aside.
    """

    x: float
    y: float
    judgement: str
    label: str
    number: int | str = ""
    url: str = ""
    at_x: float | None = None
    at_y: float | None = None

    def __post_init__(self) -> None:
        """Refuse a judgement that has no shape."""
        if self.judgement not in SHAPES:
            known = ", ".join(SHAPES)
            raise ValueError(f"{self.label}: no judgement “{self.judgement}”. Use one of {known}.")

    @property
    def moved(self) -> bool:
        """Tell whether the mark stands beside the place it means."""
        return self.at_x is not None and self.at_y is not None


@dataclass(frozen=True, slots=True)
class Drawing:
    """A bike to be drawn: the frame's shape, words for those who do not see it, and its marks."""

    shape: str
    title: str
    desc: str
    marks: tuple[Mark, ...] = ()


def spread(marks: Iterable[Mark], gap: float = GAP) -> tuple[Mark, ...]:
    """Move marks apart until no two stand nearer than ``gap`` units, so each can be tapped.

    A mark takes the free place nearest to its own, earlier marks first; the same marks always
    give the same places. Marks keep ``EDGE`` units from the drawing's rim. Raises ``ValueError``
    where the drawing is too full for the gap.
    """
    placed: list[Mark] = []
    for mark in marks:
        x, y = _free_place(mark, placed, gap)
        if (x, y) == (mark.x, mark.y):
            placed.append(mark)
        else:
            placed.append(replace(mark, x=x, y=y, at_x=mark.x, at_y=mark.y))
    return tuple(placed)


def _free_place(mark: Mark, placed: list[Mark], gap: float) -> tuple[float, float]:
    """Return the first place outwards along a spiral that is free of the placed marks."""
    for step in range(ceil((RIGHT + BOTTOM) ** 2 / 9)):
        reach, turn = 3 * sqrt(step), step * _GOLDEN_TURN
        x = _within(round(mark.x + reach * cos(turn), 1), LEFT, RIGHT)
        y = _within(round(mark.y + reach * sin(turn), 1), TOP, BOTTOM)
        if all(hypot(x - other.x, y - other.y) >= gap for other in placed):
            return x, y
    raise ValueError(f"No room left on the drawing for “{mark.label}” at a gap of {gap} units.")


def _within(value: float, low: int, high: int) -> float:
    """Return the value held inside the drawing's rim."""
    return min(max(value, low + EDGE), high - EDGE)
