"""CSV as spreadsheets write it: encodings, delimiters and decimal marks are found out, not asked.

Nothing here knows what the columns mean. A file that is no table is refused with what to do.
"""

from __future__ import annotations

import codecs
import csv
import io
import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass

DELIMITERS = {",": "commas", ";": "semicolons", "\t": "tabs"}
MARKS = {"": "no decimals", ".": "decimal point", ",": "decimal comma"}
BOMS = (
    (codecs.BOM_UTF8, "utf-8-sig"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
)
ENCODINGS = {
    "utf-8": "UTF-8",
    "utf-8-sig": "UTF-8",
    "utf-16": "UTF-16",
    "utf-16-le": "UTF-16",
    "utf-16-be": "UTF-16",
    "cp1252": "Windows-1252",
}
NOT_CSV = (
    (b"PK\x03\x04", "a spreadsheet workbook or a zip file"),
    (b"\xd0\xcf\x11\xe0", "an old spreadsheet workbook"),
    (b"%PDF", "a PDF"),
    (b"\x89PNG", "a picture"),
    (b"\xff\xd8\xff", "a picture"),
    (b"{\\rtf", "a word processor's document"),
)
CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f]")
SEPARATOR_LINE = re.compile(r"\s*\"?sep=(.)\"?\r?\n", re.IGNORECASE)
FORMULA = frozenset("=+-@＝＋－＠")
FORMULA_AFTER = frozenset("\t\r\n")
"""What some spreadsheets pass over before a formula. Source of both: OWASP, CSV Injection."""
ZERO_SHARE = 4


class SheetError(Exception):
    """Raised where a file cannot be read as a table; the message says why and what to do."""


@dataclass(frozen=True, slots=True)
class Limits:
    """The most that is read: bytes, rows below the head, columns, and letters in a cell."""

    file_bytes: int
    rows: int
    columns: int
    letters: int


@dataclass(frozen=True, slots=True)
class Sheet:
    """A table as it was read: its head, its rows by the number a spreadsheet shows, and how.

    ``encoding`` and ``delimiter`` are in words.
    """

    head: tuple[str, ...]
    rows: tuple[tuple[int, tuple[str, ...]], ...]
    encoding: str
    delimiter: str


def decode(data: bytes) -> tuple[str, str]:
    """Return the text of a file and its encoding in words.

    Raises:
        SheetError: it is empty, no text, or in an encoding that is not known here.
    """
    for start, what in NOT_CSV:
        if data.startswith(start):
            raise SheetError(f"This is {what}, not CSV. Open it, save it as CSV and send that.")
    encoding = _encoding_of(data)
    try:
        text = data.decode(encoding)
    except UnicodeDecodeError as error:
        raise SheetError(
            "The letters of this file cannot be read. Save it as CSV in UTF-8 and send it again."
        ) from error
    if not text.strip():
        raise SheetError("The file is empty. Send one with a head and a row for each price.")
    if CONTROL.search(text):
        raise SheetError(
            "There are characters in this file that no text has. Save it as CSV in UTF-8."
        )
    return text, ENCODINGS[encoding]


def _encoding_of(data: bytes) -> str:
    """Return the encoding: by its mark, by the zeros of UTF-16, else UTF-8 or Windows-1252."""
    for mark, name in BOMS:
        if data.startswith(mark):
            return name
    for start, name in ((1, "utf-16-le"), (0, "utf-16-be")):
        if data[start::2].count(0) * ZERO_SHARE > len(data):
            return name
    try:
        data.decode("utf-8")
    except UnicodeDecodeError:
        return "cp1252"
    return "utf-8"


def read_sheet(data: bytes, limits: Limits, known: Callable[[str], bool]) -> Sheet:
    """Return the table in a file; ``known`` tells whether a column's name is one of ours.

    Raises:
        SheetError: the file is too large, no table, or has no column that is known.
    """
    if len(data) > limits.file_bytes:
        most = limits.file_bytes // 1000
        raise SheetError(f"The file is larger than {most} kB. Send it in parts.")
    text, encoding = decode(data)
    told = SEPARATOR_LINE.match(text)
    skipped = 1 if told else 0
    body = text[told.end() :] if told else text
    delimiter = told[1] if told and told[1] in DELIMITERS else _delimiter(body, known)
    records = [
        (number, cells)
        for number, cells in _records(body, delimiter, limits, skipped)
        if any(cells)
    ]
    if not records:
        raise SheetError("There is no row in this file.")
    head = records[0][1]
    if len(head) > limits.columns:
        raise SheetError(
            f"There are {len(head)} columns; {limits.columns} are the most. "
            "Delete those that are not needed."
        )
    return Sheet(head, tuple(records[1:]), encoding, DELIMITERS[delimiter])


def _delimiter(text: str, known: Callable[[str], bool]) -> str:
    """Return the delimiter that makes the most known columns of the head."""

    def found(delimiter: str) -> int:
        reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter)
        try:
            head = next((row for row in reader if any(cell.strip() for cell in row)), [])
        except csv.Error:
            return 0
        return sum(1 for name in head if known(name))

    best = max(DELIMITERS, key=found)
    if not found(best):
        first = text.strip().splitlines()[0][:60]
        raise SheetError(
            f"The first row, “{first}”, names no column that is known. "
            "The first row must hold the columns' names, as in the template."
        )
    return best


def _records(
    text: str, delimiter: str, limits: Limits, skipped: int
) -> Iterator[tuple[int, tuple[str, ...]]]:
    """Yield the rows with their numbers, every cell stripped and on one line."""
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    number = skipped
    try:
        for record in reader:
            number += 1
            if number > limits.rows + skipped + 1:
                raise SheetError(f"There are more than {limits.rows:,} rows. Send them in parts.")
            cells = tuple(" ".join(cell.split()) for cell in record)
            if any(len(cell) > limits.letters for cell in cells):
                raise SheetError(
                    f"Row {number}: a cell is longer than {limits.letters} letters. "
                    "Shorten it; a quotation mark too many can do this as well."
                )
            yield number, cells
    except csv.Error as error:
        raise SheetError(
            f"Row {number + 1}: a quotation mark is not closed, or stands inside a cell "
            "without being doubled. Mend it and send the file again."
        ) from error


def decimal_mark(cells: Iterable[str]) -> str:
    """Return the mark that these amounts write before their decimals: ``.``, ``,`` or none.

    Raises:
        SheetError: some write a comma and some a point, so that none can be trusted.
    """
    found = {
        match[1]: cell for cell in cells if (match := re.search(r"([.,])\d{1,2}\D*$", cell.strip()))
    }
    if len(found) > 1:
        raise SheetError(
            f"Some prices have a decimal comma (“{found[',']}”), some a decimal point "
            f"(“{found['.']}”). Write them all alike."
        )
    return next(iter(found), "")


def with_point(cell: str, mark: str) -> str:
    """Return an amount without thousands marks and with a decimal point, as ``mark`` tells.

    Where the file does not tell its mark the amount is left as it is.
    """
    if not mark:
        return cell
    other = "." if mark == "," else ","
    return re.sub(rf"(?<=\d){re.escape(other)}(?=\d{{3}}(?!\d))", "", cell).replace(mark, ".")


def runs_as_formula(text: str) -> bool:
    """Tell whether a spreadsheet would take the text for a formula."""
    return bool(text) and (text[0] in FORMULA_AFTER or text.lstrip()[:1] in FORMULA)


def guarded(text: str) -> str:
    """Return a cell's text so that no spreadsheet runs it: with an apostrophe where it would."""
    return f"'{text}" if runs_as_formula(text) else text


def unlike(head: Sequence[str], key: Callable[[str], str]) -> str:
    """Return the first name that stands twice in a head, or nothing."""
    seen: set[str] = set()
    for name in head:
        if key(name) in seen:
            return name
        seen.add(key(name))
    return ""
