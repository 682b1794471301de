"""Spreadsheets of the OpenDocument kind (.ods, ISO/IEC 26300): unpacked, then read in pieces."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal, InvalidOperation
from pathlib import Path
from xml.etree.ElementTree import Element
from zipfile import ZipFile

from inventory.reading import pieces
from inventory.reading.archives import unpack
from inventory.reading.rows import LIMITS, Row, SheetError, shortened
from inventory.reading.workbooks import plain_figure

OFFICE = "{urn:oasis:names:tc:opendocument:xmlns:office:1.0}"
TABLE = "{urn:oasis:names:tc:opendocument:xmlns:table:1.0}"
GROUPS = (
    rb"</?table:table-(?:header-rows|row-group|rows|column-group|header-columns|columns)\b[^>]*>"
    rb"|<table:table-column\b[^>]*/>|</?text:soft-page-break\b[^>]*>|<table:shapes\b.*?</table:shapes>"
)
ENDS = rb"</table:table\s*>"
MOST_REPEATED = 1_000


def tables_of(content: Path) -> list[tuple[str, int]]:
    """Return the tables of a spreadsheet: each one's name and the byte its rows begin at."""
    found: list[tuple[str, int]] = []
    place = 0
    while True:
        try:
            tag, place = pieces.opening(content, b"table", place)
        except SheetError:
            if not found:
                raise
            return found
        name = pieces.parsed(_with_spaces(tag)).get("name", "")
        found.append((name, place))


def _with_spaces(tag: bytes) -> bytes:
    """Return a table's tag as a text of its own."""
    bare = tag.removesuffix(b">").removesuffix(b"/").replace(b"table:", b"").replace(b":", b"-")
    return bare + b"/>"


def unpack_document(archive: ZipFile, folder: Path) -> None:
    """Write the content into a folder.

    Raises:
        SheetError: it is damaged.
    """
    unpack(archive, "content.xml", folder / "rows.xml")


def read_document(folder: Path, table: int = 0, offset: int = 0, number: int = 0) -> Iterator[Row]:
    """Yield the rows of a table that are not empty from a piece on.

    Raises:
        SheetError: the table is damaged.
    """
    path = folder / "rows.xml"
    root, _ = pieces.opening(path, b"document-content")
    start = offset or tables_of(path)[table][1]
    for element, end in pieces.rows_of(path, root, b"table-row", start, ENDS, GROUPS):
        if element.tag != f"{TABLE}table-row":
            continue
        times = _times(element, "number-rows-repeated")
        cells, figures = _cells(element, number + 1)
        if not any(cells):
            number += times
            continue
        if times > MOST_REPEATED:
            raise SheetError(f"Row {number + 1} is repeated {times:,} times. Delete the copies.")
        for again in reversed(range(times)):
            number += 1
            yield Row(number, cells, figures, None if again else end)


def _times(element: Element, name: str) -> int:
    told = element.get(f"{TABLE}{name}", "1")
    return int(told) if told.isdecimal() else 1


def _cells(element: Element, row: int) -> tuple[tuple[str, ...], frozenset[int]]:
    """Return a row's cells; blanks behind the last one are dropped, however many are told."""
    cells: list[str] = []
    figures: set[int] = set()
    blanks = 0
    for cell in element:
        text, is_figure = _value(cell)
        times = _times(cell, "number-columns-repeated")
        if not text:
            blanks += times
            continue
        if len(cells) + blanks + times > LIMITS.columns:
            raise SheetError(
                f"Row {row} has {len(cells) + blanks + times:,} columns; {LIMITS.columns} are the "
                "most. Delete those that are not needed."
            )
        cells.extend("" for _ in range(blanks))
        blanks = 0
        if is_figure:
            figures.update(range(len(cells), len(cells) + times))
        cells.extend(text for _ in range(times))
    return tuple(cells), frozenset(figures)


def _value(cell: Element) -> tuple[str, bool]:
    """Return a cell's text and whether it is a true number."""
    kind, raw = cell.get(f"{OFFICE}value-type", ""), cell.get(f"{OFFICE}value", "")
    if kind in {"float", "currency", "percentage"}:
        try:
            amount = Decimal(raw)
        except InvalidOperation:
            return shortened(raw), False
        if kind == "percentage":
            return f"{plain_figure(amount * 100)} %", True
        currency = cell.get(f"{OFFICE}currency", "")
        return f"{plain_figure(amount)} {currency}".strip(), True
    if kind == "date":
        return cell.get(f"{OFFICE}date-value", "")[:10], False
    lines = ("".join(each.itertext()) for each in cell if pieces.local(each) == "p")
    return shortened(" ".join(lines)), False
