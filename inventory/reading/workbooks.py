"""Workbooks (.xlsx, ISO/IEC 29500): unpacked once, then read from any piece on.

Values only: a formula gives the result that was saved with it. What a number means is read from
its format: dates come as 2026-03-14, shares as 40 %.
"""

from __future__ import annotations

import mmap
import posixpath
import re
from array import array
from collections.abc import Iterator
from decimal import Decimal, InvalidOperation
from pathlib import Path
from xml.etree.ElementTree import Element
from zipfile import ZipFile

from inventory.reading import pieces
from inventory.reading.archives import UNSOUND, member, unpack
from inventory.reading.dates import day_of
from inventory.reading.rows import LIMITS, Row, SheetError, shortened

RELATION = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}id"
STRICT_RELATION = "{http://purl.oclc.org/ooxml/officeDocument/relationships}id"
DATES = frozenset((*range(14, 23), *range(27, 37), *range(45, 48), *range(50, 59)))
SHARES = frozenset((9, 10))
IN_QUOTES = re.compile(r'"[^"]*"|\[[^\]]*\]|\\.|_.|\*.')
REFERENCE = re.compile(r"([A-Z]{1,3})\d*")
ENDS = rb"</(?:[\w.-]+:)?sheetData\s*>"
STRINGS_END = rb"</(?:[\w.-]+:)?sst\s*>"
PLAIN, DATE, SHARE = "", "d", "%"


def sheets_of(archive: ZipFile) -> list[tuple[str, str]]:
    """Return the visible sheets: each one's name, and the member that holds it."""
    book = pieces.parsed(member(archive, "xl/workbook.xml", LIMITS.side_bytes))
    links = pieces.parsed(
        member(archive, "xl/_rels/workbook.xml.rels", LIMITS.side_bytes) or b"<none/>"
    )
    targets = {each.get("Id"): each.get("Target", "") for each in links}
    found = []
    for sheet in book.iter():
        target = targets.get(sheet.get(RELATION) or sheet.get(STRICT_RELATION) or "")
        if pieces.local(sheet) == "sheet" and target and sheet.get("state", "visible") == "visible":
            path = posixpath.normpath(posixpath.join("xl", target)).removeprefix("xl//")
            found.append((sheet.get("name", ""), path.lstrip("/").replace("xl/xl/", "xl/")))
    if not found:
        raise SheetError("There is no sheet in this workbook.")
    return found


def unpack_workbook(archive: ZipFile, sheet: int, folder: Path) -> None:
    """Write what reading a sheet needs into a folder: rows, texts and number formats.

    Raises:
        SheetError: the workbook is damaged.
    """
    unpack(archive, sheets_of(archive)[sheet][1], folder / "rows.xml")
    if "xl/sharedStrings.xml" in archive.namelist():
        unpack(archive, "xl/sharedStrings.xml", folder / "strings.xml")
        _index_strings(folder)
        (folder / "strings.xml").unlink()
    kinds = _formats(member(archive, "xl/styles.xml", LIMITS.side_bytes))
    book = member(archive, "xl/workbook.xml", LIMITS.side_bytes)
    epoch = "1904" if re.search(rb'date1904="(1|true)"', book) else "1900"
    (folder / "formats.txt").write_text("\n".join((epoch, *kinds)), encoding="ascii")


def _index_strings(folder: Path) -> None:
    """Write the shared texts one behind the other, and where each ends."""
    ends: array[int] = array("Q")
    place = 0
    source = folder / "strings.xml"
    root, start = pieces.opening(source, b"sst")
    with (folder / "strings.txt").open("wb") as out:
        if not root.endswith(b"/>"):
            for element, _ in pieces.rows_of(source, root, b"si", start, STRINGS_END):
                place += out.write(shortened(_words(element)).encode())
                ends.append(place)
                if len(ends) > LIMITS.strings:
                    raise SheetError("There are too many texts here. Send the list as CSV.")
    with (folder / "strings.idx").open("wb") as index:
        ends.tofile(index)


def _words(element: Element) -> str:
    """Return the text of a shared or inline string, without its phonetic guide."""
    parts = []
    for child in element:
        name = pieces.local(child)
        if name == "t":
            parts.append(child.text or "")
        elif name == "r":
            parts.extend(each.text or "" for each in child if pieces.local(each) == "t")
    return "".join(parts)


def _formats(styles: bytes) -> list[str]:
    """Return what a number means under each style: a plain figure, a date or a share."""
    if not styles:
        return []
    root = pieces.parsed(styles)
    own = {
        each.get("numFmtId", ""): each.get("formatCode", "")
        for each in root.iter()
        if pieces.local(each) == "numFmt"
    }
    found = []
    for group in root:
        if pieces.local(group) == "cellXfs":
            found = [_meaning(each.get("numFmtId", "0"), own) for each in group]
    return found


def _meaning(number: str, own: dict[str, str]) -> str:
    """Return what a number format makes of a number."""
    if number in own:
        bare = IN_QUOTES.sub("", own[number]).casefold()
        if "%" in bare:
            return SHARE
        return DATE if re.search(r"[dmyh]", bare.replace("general", "")) else PLAIN
    known = int(number) if number.isdecimal() else 0
    return DATE if known in DATES else SHARE if known in SHARES else PLAIN


class Strings:
    """The shared texts, looked up in a file."""

    def __init__(self, folder: Path) -> None:
        self.ends: array[int] = array("Q")
        self.texts: mmap.mmap | bytes = b""
        index = folder / "strings.idx"
        if index.exists():
            self.ends.frombytes(index.read_bytes())
            if self.ends and self.ends[-1]:
                with (folder / "strings.txt").open("rb") as file:
                    self.texts = mmap.mmap(file.fileno(), 0, access=mmap.ACCESS_READ)

    def __getitem__(self, index: int) -> str:
        """Return the text of a number; raises ``IndexError`` where there is none."""
        if not 0 <= index < len(self.ends):
            raise IndexError(index)
        return self.texts[self.ends[index - 1] if index else 0 : self.ends[index]].decode()


class Reading:
    """One pass over a sheet: its texts, its formats and its calendar."""

    def __init__(self, folder: Path) -> None:
        self.strings = Strings(folder)
        epoch, *self.kinds = (folder / "formats.txt").read_text(encoding="ascii").split("\n")
        self.from_1904 = epoch == "1904"

    def row(self, element: Element, number: int, end: int | None) -> Row:
        """Return a row."""
        cells: list[str] = []
        figures: set[int] = set()
        for cell in element:
            place = _place(cell.get("r", ""), len(cells), number)
            cells.extend("" for _ in range(place - len(cells)))
            text, is_figure = self.value(cell)
            cells.append(text)
            if is_figure:
                figures.add(place)
        return Row(number, tuple(cells), frozenset(figures), end)

    def value(self, cell: Element) -> tuple[str, bool]:
        """Return a cell's text and whether it is a true number."""
        kind = cell.get("t", "n")
        if kind == "inlineStr":
            return shortened(
                "".join(_words(each) for each in cell if pieces.local(each) == "is")
            ), False
        raw = next((each.text or "" for each in cell if pieces.local(each) == "v"), "")
        if not raw:
            return "", False
        if kind == "s":
            try:
                return self.strings[int(raw)], False
            except (ValueError, IndexError) as error:
                raise SheetError(UNSOUND) from error
        if kind == "b":
            return ("yes" if raw == "1" else "no"), False
        return self.number(raw, cell.get("s", "")) if kind == "n" else (shortened(raw), False)

    def number(self, raw: str, style: str) -> tuple[str, bool]:
        """Return a number as its format means it."""
        try:
            amount = Decimal(raw)
        except InvalidOperation:
            return shortened(raw), False
        meaning = (
            self.kinds[int(style)] if style.isdecimal() and int(style) < len(self.kinds) else PLAIN
        )
        if meaning == DATE:
            return day_of(amount, from_1904=self.from_1904), False
        if meaning == SHARE:
            return f"{plain_figure(amount * 100)} %", True
        return plain_figure(amount), True


def plain_figure(amount: Decimal) -> str:
    """Return a number as a spreadsheet shows it: 15 figures, no exponent, no needless zeros."""
    if not amount.is_finite() or abs(amount.adjusted()) > 20:  # noqa: PLR2004 - no price, no code
        return str(amount)
    return f"{Decimal(f'{amount:.15g}').normalize():f}"


def _place(reference: str, following: int, row: int) -> int:
    """Return a cell's place in its row from a reference such as C7; 0 is column A."""
    found = REFERENCE.fullmatch(reference)
    place = following
    if found:
        place = 0
        for letter in found[1]:
            place = place * 26 + ord(letter) - 64
        place -= 1
    elif reference:
        place = LIMITS.columns
    if place >= LIMITS.columns:
        raise SheetError(
            f"Row {row} has a cell in column {reference or place + 1}; {LIMITS.columns} columns "
            "are the most. Delete those that are not needed."
        )
    if place < following:
        raise SheetError(UNSOUND)
    return place


def read_workbook(folder: Path, offset: int = 0, number: int = 0) -> Iterator[Row]:
    """Yield the rows that are not empty from a piece on.

    Raises:
        SheetError: the sheet is damaged.
    """
    path = folder / "rows.xml"
    root, _ = pieces.opening(path, b"worksheet")
    tag, start = pieces.opening(path, b"sheetData")
    if tag.endswith(b"/>"):
        return
    reading = Reading(folder)
    for element, end in pieces.rows_of(path, root, b"row", offset or start, ENDS):
        if pieces.local(element) != "row":
            raise SheetError(UNSOUND)
        told = element.get("r", "")
        number = int(told) if told.isdecimal() else number + 1
        row = reading.row(element, number, end)
        if any(row.cells):
            yield row


def merged_in(folder: Path) -> int:
    """Return how many cells of a sheet are merged with others."""
    with (folder / "rows.xml").open("rb") as file:
        return sum(piece.count(b"mergeCell ") for piece in iter(lambda: file.read(1 << 20), b""))
