"""Where the marks stand on the line drawing of a bike."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import lru_cache
from math import ceil, cos, hypot, pi, sin, sqrt

from workshop.core.shapes import SHAPES

LEFT, TOP, RIGHT, BOTTOM = 40, 30, 600, 415
"""The part of the 640 by 420 drawing that is shown; nothing is drawn outside it."""

GAP = 34
"""The least distance between two marks: a thumb's width where the drawing is shown to be tapped."""

EDGE = 22
"""How far marks and their numbers keep from the rim."""

COVERS = 9
"""A mark this near to its place still covers it and needs no line to it."""

ROUNDS = 80
"""How often crowding marks push one another aside before the rest is settled one by one."""

_GOLDEN_TURN = pi * (3 - sqrt(5))

Place = tuple[float, float]


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

    Marks that crowd push one another aside by as little as will do; the same marks always give
    the same places. Marks keep ``EDGE`` units from the drawing's rim. One that no longer covers
    its place remembers it in ``at_x`` and ``at_y``. Raises ``ValueError`` where the drawing is
    too full for the gap.
    """
    marks = tuple(marks)
    places = _places(tuple((mark.x, mark.y) for mark in marks), gap)
    return tuple(_at(mark, *place) for mark, place in zip(marks, places, strict=True))


def _at(mark: Mark, x: float, y: float) -> Mark:
    """Return the mark at a place, with the place it means where it no longer covers that."""
    home_x, home_y = _inside(mark.x, mark.y)
    if hypot(x - home_x, y - home_y) <= COVERS:
        return replace(mark, x=x, y=y)
    return replace(mark, x=x, y=y, at_x=home_x, at_y=home_y)


@lru_cache(maxsize=256)
def _places(homes: tuple[Place, ...], gap: float) -> tuple[Place, ...]:
    """Return where marks with the given homes stand; kept, since every look asks the same."""
    places = [_inside(*home) for home in homes]
    for turn in range(ROUNDS):
        if not _push_apart(places, gap):
            break
        if turn < ROUNDS // 2:
            _pull_home(places, homes)
    settled: list[Place] = []
    for x, y in places:
        settled.append(_free_place(x, y, settled, gap))
    return tuple(settled)


def _push_apart(places: list[Place], gap: float) -> bool:
    """Move each pair that is too near apart by what it lacks, half each; tell whether any was."""
    pushed = False
    for j in range(len(places)):
        for i in range(j):
            dx, dy = places[j][0] - places[i][0], places[j][1] - places[i][1]
            apart = hypot(dx, dy)
            if apart >= gap:
                continue
            if apart < 1:
                dx, dy, apart = cos(j * _GOLDEN_TURN), sin(j * _GOLDEN_TURN), 1.0
            step = (gap - apart + 0.2) / 2 / apart
            places[i] = _inside(places[i][0] - dx * step, places[i][1] - dy * step)
            places[j] = _inside(places[j][0] + dx * step, places[j][1] + dy * step)
            pushed = True
    return pushed


def _pull_home(places: list[Place], homes: tuple[Place, ...]) -> None:
    """Let each mark go back a tenth of its way home."""
    for i, (home, place) in enumerate(zip(homes, places, strict=True)):
        places[i] = _inside(
            place[0] + (home[0] - place[0]) / 10, place[1] + (home[1] - place[1]) / 10
        )


def _free_place(x: float, y: float, taken: list[Place], gap: float) -> Place:
    """Return the first place outwards along a spiral that is free of those taken."""
    for step in range(ceil((RIGHT + BOTTOM) ** 2 / 9)):
        reach, turn = 3 * sqrt(step), step * _GOLDEN_TURN
        place = _inside(round(x + reach * cos(turn), 1), round(y + reach * sin(turn), 1))
        if all(hypot(place[0] - other[0], place[1] - other[1]) >= gap for other in taken):
            return place
    raise ValueError(f"No room left on the drawing for mark {len(taken) + 1} at a gap of {gap}.")


def _inside(x: float, y: float) -> Place:
    """Return the place held inside the drawing's rim."""
    return min(max(x, LEFT + EDGE), RIGHT - EDGE), min(max(y, TOP + EDGE), BOTTOM - EDGE)
