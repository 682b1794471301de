"""Where labels stand on a sheet: a grid measured in mm from the sheet's upper left corner."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal


@dataclass(frozen=True, slots=True)
class Place:
    """Where a label stands: its sheet (from 0) and its upper left corner in mm."""

    sheet: int
    left: Decimal
    top: Decimal


@dataclass(frozen=True, slots=True)
class Grid:
    """A sheet of labels, all in mm; ``across`` and ``down`` go from one label's edge to the next.

    A roll of single labels is a sheet of one column and one row.
    """

    sheet_width: Decimal
    sheet_height: Decimal
    width: Decimal
    height: Decimal
    columns: int
    rows: int
    left: Decimal
    top: Decimal
    across: Decimal
    down: Decimal

    @property
    def on_a_sheet(self) -> int:
        """Return how many labels a sheet has."""
        return self.columns * self.rows

    def wrong(self) -> dict[str, str]:
        """Return what can't be, by the field it is about; empty where all is well."""
        found = {}
        if self.columns > 1 and self.across < self.width:
            found["across"] = "Labels side by side overlap: this is at least the label's width."
        if self.rows > 1 and self.down < self.height:
            found["down"] = "Labels one below the other overlap: this is at least their height."
        if self.left + (self.columns - 1) * self.across + self.width > self.sheet_width:
            found["columns"] = "So many labels side by side don't fit on the sheet."
        if self.top + (self.rows - 1) * self.down + self.height > self.sheet_height:
            found["rows"] = "So many labels one below the other don't fit on the sheet."
        return found

    def places(self, count: int, *, first: int = 1) -> Iterator[Place]:
        """Yield where ``count`` labels stand, row by row, from the place ``first`` (from 1) on.

        Raises:
            ValueError: the sheet has no such place.
        """
        if not 1 <= first <= self.on_a_sheet:
            raise ValueError(f"A sheet has the places 1 to {self.on_a_sheet}.")
        for number in range(first - 1, first - 1 + count):
            sheet, place = divmod(number, self.on_a_sheet)
            row, column = divmod(place, self.columns)
            yield Place(sheet, self.left + column * self.across, self.top + row * self.down)
