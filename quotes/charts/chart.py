"""A chart as a page shows it: the drawing, and beneath it the same figures as a table."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal

from quotes.charts.svg import Markup

Figure = float | Decimal


@dataclass(frozen=True, slots=True)
class Axis:
    """What an axis measures, how a figure is written in the table and, shorter, at a tick."""

    label: str
    show: Callable[[Figure], str]
    tick: Callable[[Figure], str] | None = None

    def at_tick(self, value: float) -> str:
        """Return a tick's figure."""
        return (self.tick or self.show)(value)


@dataclass(frozen=True, slots=True)
class Chart:
    """A drawing with its table: ``head`` names the columns, ``rows`` hold cells as text.

    ``numeric`` tells of each column whether it holds figures, which stand to the right.
    """

    title: str
    svg: Markup
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    numeric: tuple[bool, ...]

    @property
    def columns(self) -> tuple[tuple[str, bool], ...]:
        """Return the names of the columns, each with whether it holds figures."""
        return tuple(zip(self.head, self.numeric, strict=True))

    @property
    def cells(self) -> tuple[tuple[tuple[str, bool], ...], ...]:
        """Return the rows, each cell with whether it is a figure."""
        return tuple(tuple(zip(row, self.numeric, strict=True)) for row in self.rows)
