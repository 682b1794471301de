"""A table of any kind: unpacked into a folder once, then read from any place in it."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

from inventory.reading import texts
from inventory.reading.archives import kind_of, opened
from inventory.reading.documents import read_document, tables_of, unpack_document
from inventory.reading.rows import LIMITS, Kind, Row, SheetError
from inventory.reading.workbooks import merged_in, read_workbook, sheets_of, unpack_workbook

PLAIN = "rows.txt"


@dataclass(frozen=True, slots=True)
class Table:
    """How a file is read: its kind, how its text is written, which of its sheets, merged cells."""

    kind: Kind
    encoding: str = ""
    delimiter: str = ""
    sheet: int = 0
    sheets: tuple[str, ...] = ()
    merged: int = 0


def unpack_table(
    path: Path,
    folder: Path,
    known: Callable[[str], bool],
    *,
    encoding: str = "",
    delimiter: str = "",
    sheet: int = 0,
) -> Table:
    """Unpack a file into a folder, which is emptied first, and return how it is read.

    What is not told is found out; ``known`` tells whether a text is the name of a column.

    Raises:
        SheetError: the file is no table that can be read; says why and what to do.
    """
    size = path.stat().st_size
    if size > LIMITS.file_bytes:
        most = LIMITS.file_bytes // 1_000_000
        raise SheetError(f"The file has {size // 1_000_000} MB; {most} MB are the most.")
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir(parents=True)
    kind = kind_of(path)
    if kind is Kind.TEXT:
        used = texts.make_plain(path, folder / PLAIN, encoding)
        parted = delimiter or texts.delimiter_of(folder / PLAIN, known)
        return Table(kind, used, parted)
    with opened(path) as archive:
        if kind is Kind.XLSX:
            names = tuple(name for name, _ in sheets_of(archive))
            chosen = sheet if sheet < len(names) else 0
            unpack_workbook(archive, chosen, folder)
            return Table(kind, sheet=chosen, sheets=names, merged=merged_in(folder))
        unpack_document(archive, folder)
    names = tuple(name for name, _ in tables_of(folder / "rows.xml"))
    return Table(kind, sheet=sheet if sheet < len(names) else 0, sheets=names)


def read_rows(folder: Path, table: Table, offset: int = 0, number: int = 0) -> Iterator[Row]:
    """Yield the rows that are not empty, from the ``end`` of an earlier row and its number on.

    Raises:
        SheetError: a row is damaged, too long, or there are too many.
    """
    match table.kind:
        case Kind.TEXT:
            rows = texts.read_text(folder / PLAIN, table.delimiter, offset, number)
        case Kind.XLSX:
            rows = read_workbook(folder, offset, number)
        case Kind.ODS:
            rows = read_document(folder, table.sheet, offset, number)
    for row in rows:
        if row.number > LIMITS.rows:
            raise SheetError(f"There are more than {LIMITS.rows:,} rows. Send the list in parts.")
        yield row


def size_of(folder: Path) -> int:
    """Return how many bytes there are to read, which ``Row.end`` is measured against."""
    return max(
        (folder / name).stat().st_size for name in (PLAIN, "rows.xml") if (folder / name).exists()
    )
