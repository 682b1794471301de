"""What a file is read as: rows of cells, the limits they keep, and how text was written."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from inventory.core.sheets import SheetError

__all__ = ["LIMITS", "Bounds", "Kind", "Row", "SheetError", "shortened"]


class Kind(StrEnum):
    """The kinds of file that are read."""

    TEXT = "text"
    XLSX = "xlsx"
    ODS = "ods"


@dataclass(frozen=True, slots=True)
class Bounds:
    """The most that is read; sizes are in bytes, lengths in letters."""

    file_bytes: int = 60_000_000
    unpacked_bytes: int = 600_000_000
    times_packed: int = 250
    members: int = 2_000
    side_bytes: int = 20_000_000
    strings: int = 3_000_000
    rows: int = 500_000
    columns: int = 200
    cell_letters: int = 1_000
    row_bytes: int = 1_000_000


LIMITS = Bounds()


@dataclass(frozen=True, slots=True)
class Row:
    """A row by the number a spreadsheet shows.

    ``figures`` are the places whose cells hold a true number, written with a decimal point; ``end``
    is the byte from which reading can go on behind this row, None where it cannot.
    """

    number: int
    cells: tuple[str, ...]
    figures: frozenset[int]
    end: int | None

    def cell(self, place: int | None) -> str:
        """Return a cell's text, empty where the row ends before it."""
        return self.cells[place] if place is not None and place < len(self.cells) else ""


def shortened(text: str) -> str:
    """Return a cell on one line, no longer than is kept."""
    return " ".join(text.split())[: LIMITS.cell_letters]
