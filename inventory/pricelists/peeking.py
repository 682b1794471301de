"""The first rows of a price list: where the columns' names stand, what the columns may be."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import islice
from pathlib import Path

from inventory.pricelists.columns import HEAD_WITHIN, MUST, guessed, head_among
from inventory.reading.figures import evidence
from inventory.reading.rows import Row, SheetError
from inventory.reading.tables import Table, read_rows

LOOKED_AT = 400
SHOWN = 8


@dataclass(frozen=True, slots=True)
class Peek:
    """What the first rows tell; ``mark`` is the decimal mark that most prices prove."""

    head: Row
    below: tuple[Row, ...]
    columns: Mapping[str, int]
    mark: str

    @property
    def width(self) -> int:
        """Return how many columns there are."""
        return max(len(row.cells) for row in (self.head, *self.below))


def peek(folder: Path, table: Table, saved: Mapping[str, str], head_row: int = 0) -> Peek:
    """Return what the first rows tell; ``head_row`` names the row of names where it is known.

    Raises:
        SheetError: there is no row, or none below the names.
    """
    rows = list(islice(read_rows(folder, table), LOOKED_AT))
    head = next((row for row in rows if row.number == head_row), None) or head_among(
        rows[:HEAD_WITHIN]
    )
    if head is None:
        raise SheetError("There is no row in this file. Choose another sheet, or send another one.")
    below = tuple(row for row in rows if row.number > head.number)
    if not below:
        raise SheetError(
            f"There is no row below the columns' names in row {head.number}. Send the whole list."
        )
    columns = guessed(head.cells, saved)
    return Peek(head, below, columns, mark_of(below, columns.get("price")))


def mark_of(rows: tuple[Row, ...], place: int | None) -> str:
    """Return the decimal mark that most cells of a column prove, nothing where none does."""
    if place is None:
        return ""
    proofs = Counter(evidence(row.cell(place)) for row in rows if place not in row.figures)
    del proofs[""]
    return proofs.most_common(1)[0][0] if proofs else ""


def missing(columns: Mapping[str, int]) -> list[str]:
    """Return the columns that are needed and not told."""
    return [key for key in MUST if key not in columns]
