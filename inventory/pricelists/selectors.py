"""Reading incoming price lists and their differences."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from itertools import islice

from django.db.models import QuerySet

from inventory.core.sheets import SheetError
from inventory.pricelists.columns import doubles
from inventory.pricelists.comparing import vanished_from
from inventory.pricelists.forms import letters
from inventory.pricelists.models import Difference, Incoming, ReadRow, State
from inventory.pricelists.peeking import SHOWN
from inventory.pricelists.verbs.send_in import unpack
from inventory.reading.tables import read_rows
from inventory.suppliers.models import SupplierPart

VANISHED = "vanished"
WRONG = "wrong"
SENTENCES = {
    Difference.NEW: "new",
    Difference.DEARER: "dearer",
    Difference.CHEAPER: "cheaper",
    Difference.JUMP: "suspicious jump",
    Difference.OTHERWISE: "other name, pack or GTIN",
    Difference.SAME: "unchanged",
}
MANY = {"suspicious jump": "suspicious jumps"}
"""What is called otherwise where there are several."""


@dataclass(frozen=True, slots=True)
class Tab:
    """A kind of rows on the page, how many there are, and whether it is shown."""

    key: str
    label: str
    count: int
    current: bool


@dataclass(frozen=True, slots=True)
class Sample:
    """The first rows of a list under their columns' names."""

    head: tuple[str, ...]
    rows: tuple[tuple[int, tuple[str, ...]], ...]
    notes: tuple[str, ...]


def incoming_for_list() -> QuerySet[Incoming]:
    """Return incoming lists with their supplier and who sent them in."""
    return Incoming.objects.select_related("supplier", "sent_by")


def sample_of(incoming: Incoming) -> Sample:
    """Return the first rows; unpacks the file again where that was cleared away.

    Raises:
        SheetError: the stored file cannot be read.
    """
    if not incoming.folder.exists():
        if not incoming.file.storage.exists(str(incoming.file.name)):
            raise SheetError("The file is no longer here. Send it in anew.")
        unpack(
            incoming,
            encoding=incoming.encoding,
            delimiter=incoming.delimiter,
            sheet=incoming.sheet,
            head_row=incoming.head_row,
        )
    rows = [
        row
        for row in islice(read_rows(incoming.folder, incoming.table), incoming.head_row + SHOWN)
        if row.number > incoming.head_row
    ][:SHOWN]
    width = max(len(incoming.head), *(len(row.cells) for row in rows), 1)
    head = tuple(
        incoming.head[place]
        if place < len(incoming.head) and incoming.head[place]
        else letters(place)
        for place in range(width)
    )
    filled = tuple((row.number, tuple(row.cell(place) for place in range(width))) for row in rows)
    return Sample(head, filled, tuple(notes_on(incoming)))


def notes_on(incoming: Incoming) -> Iterator[str]:
    """Yield what should be known before the columns are told."""
    if twice := doubles(incoming.head):
        names = ", ".join(f"“{name}”" for name in twice)
        yield f"More than one column is called {names}: look which of them is meant."
    if incoming.merged:
        yield (
            f"{incoming.merged} cells are merged: a value stands in the first cell of each only."
        )


def tabs_of(incoming: Incoming, shown: str) -> list[Tab]:
    """Return the kinds of rows that there are."""
    counts = {str(key): incoming.counts.get(str(key), 0) for key in Difference}
    kinds = [(str(key), SENTENCES[key], counts[str(key)]) for key in Difference]
    kinds.append((VANISHED, "no longer in the list", incoming.vanished))
    kinds.append((WRONG, "with something wrong", incoming.wrong))
    return [
        Tab(key, MANY.get(label, label) if count > 1 else label, count, key == shown)
        for key, label, count in kinds
        if count
    ]


def first_tab(incoming: Incoming) -> str:
    """Return the kind of rows that is shown first: what needs a look."""
    order = (WRONG, Difference.JUMP, Difference.DEARER, Difference.NEW, Difference.CHEAPER)
    counts = {**incoming.counts, WRONG: incoming.wrong}
    return next((str(each) for each in order if counts.get(str(each))), str(Difference.SAME))


def rows_of(incoming: Incoming, kind: str) -> QuerySet[ReadRow]:
    """Return the rows of one difference, with the price that holds and our part."""
    rows = incoming.rows.filter(difference=kind)
    return rows.select_related("was", "was__part").order_by("number")


def vanished_rows(incoming: Incoming) -> QuerySet[SupplierPart]:
    """Return the articles that hold and are not in the list."""
    return vanished_from(incoming).select_related("part").order_by("code")


def change_of(row: ReadRow) -> Decimal | None:
    """Return by which share the cost of a piece changes; None for a new one or one from 0."""
    if row.was is None or not row.was.cost_net:
        return None
    old: Decimal = row.was.cost_net * row.pack
    new: Decimal = row.cost_net * row.was.pack
    return ((new - old) / old).quantize(Decimal("0.001"))


def is_outdated(incoming: Incoming) -> bool:
    """Tell whether the supplier's articles have changed since the list was compared with them."""
    return incoming.state == State.READ and incoming.read_against != incoming.supplier.version
