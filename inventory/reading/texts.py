"""Delimited text: made plain UTF-8 once, then read from any row on."""

from __future__ import annotations

import codecs
import contextlib
import csv
import io
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

from inventory.core.sheets import BOMS, CONTROL, NOT_CSV, SEPARATOR_LINE, ZERO_SHARE
from inventory.reading.rows import LIMITS, Row, SheetError, shortened

PIECE = 1 << 18
DELIMITERS = {",": "commas", ";": "semicolons", "\t": "tabs", "|": "upright strokes"}
ENCODINGS = {
    "utf-8": "UTF-8",
    "utf-16": "UTF-16",
    "utf-16-le": "UTF-16, low byte first",
    "utf-16-be": "UTF-16, high byte first",
    "cp1252": "Windows-1252 (western Europe)",
    "cp1250": "Windows-1250 (central Europe)",
    "iso-8859-15": "ISO 8859-15",
    "cp850": "DOS 850",
    "mac-roman": "Mac Roman",
}
LOOKED_AT = 60
csv.field_size_limit(LIMITS.row_bytes)


@dataclass(frozen=True, slots=True)
class Written:
    """How a text file is written: encoding and delimiter."""

    encoding: str
    delimiter: str


def encoding_of(path: Path) -> str:
    """Return the encoding: by its mark, by UTF-16's zeros, else UTF-8 or Windows-1252.

    Raises:
        SheetError: the file is empty, or of a kind that is no text.
    """
    with path.open("rb") as file:
        start = file.read(PIECE)
        for mark, what in NOT_CSV:
            if start.startswith(mark):
                raise SheetError(f"This is {what}, not a price list. Send CSV, .xlsx or .ods.")
        if not start.strip(b"\0\t\r\n \xef\xbb\xbf\xff\xfe"):
            raise SheetError("The file is empty. Send one with a head and a row for each article.")
        for mark, name in BOMS:
            if start.startswith(mark):
                return name.removesuffix("-sig")
        for first, name in ((1, "utf-16-le"), (0, "utf-16-be")):
            if start[first::2].count(0) * ZERO_SHARE > len(start):
                return name
        decoder = codecs.getincrementaldecoder("utf-8")()
        try:
            while start:
                decoder.decode(start)
                start = file.read(PIECE)
            decoder.decode(b"", final=True)
        except UnicodeDecodeError:
            return "cp1252"
    return "utf-8"


def make_plain(path: Path, target: Path, encoding: str = "") -> str:
    """Write the text as UTF-8 with plain line ends and return the encoding it was in.

    Raises:
        SheetError: it is no text in that encoding.
    """
    found = encoding_of(path)
    used = encoding or found
    if used == "utf-16" and found != "utf-16":
        used = "utf-16-le"
    try:
        with (
            path.open("r", encoding="utf-8-sig" if used == "utf-8" else used) as source,
            target.open("w", encoding="utf-8", newline="\n") as out,
        ):
            while piece := source.read(PIECE):
                _refuse_rubbish(piece)
                out.write(piece)
    except UnicodeError as error:
        raise SheetError(
            f"The letters of this file cannot be read as {ENCODINGS[used]}. Choose another "
            "encoding, or save it as CSV in UTF-8 and send it again."
        ) from error
    return used


def _refuse_rubbish(piece: str) -> None:
    """Refuse text with characters that no text has."""
    if CONTROL.search(piece):
        raise SheetError(
            "There are characters in this file that no text has. Send CSV, .xlsx or .ods; if it is "
            "CSV, choose its encoding."
        )


def delimiter_of(plain: Path, known: Callable[[str], bool]) -> str:
    """Return the delimiter that makes most known columns, else the evenest rows."""
    with plain.open(encoding="utf-8", newline="") as file:
        start = file.read(PIECE)
    told = SEPARATOR_LINE.match(start.replace("\n", "\r\n", 1))
    if told and told[1] in DELIMITERS:
        return told[1]
    lines = "\n".join(start.split("\n")[:LOOKED_AT])

    def score(delimiter: str) -> tuple[int, int]:
        rows = _first_rows(lines, delimiter)
        names = max((sum(map(known, row)) for row in rows), default=0)
        widths = Counter(len(row) for row in rows if len(row) > 1)
        return (names if names > 1 else 0, max(widths.values(), default=0))

    return max(DELIMITERS, key=score)


def _first_rows(lines: str, delimiter: str) -> list[list[str]]:
    """Return the rows of the first lines, as far as they can be read."""
    rows: list[list[str]] = []
    with contextlib.suppress(csv.Error):
        rows.extend(csv.reader(io.StringIO(lines), delimiter=delimiter))
    return rows


def read_text(plain: Path, delimiter: str, offset: int = 0, number: int = 0) -> Iterator[Row]:
    """Yield the rows that are not empty from a byte on; ``number`` is the row before it.

    Raises:
        SheetError: a row is too long, or a quotation mark is wrong.
    """
    with plain.open("rb") as file:
        file.seek(offset)
        place = offset

        def lines() -> Iterator[str]:
            nonlocal place
            while line := file.readline(LIMITS.row_bytes + 1):
                if len(line) > LIMITS.row_bytes:
                    raise SheetError(
                        f"Row {number + 1} is longer than {LIMITS.row_bytes:,} letters. A price "
                        "list has no such rows: look whether the file is one."
                    )
                place += len(line)
                yield line.decode("utf-8")

        reader = csv.reader(lines(), delimiter=delimiter, strict=True)
        while True:
            try:
                record = next(reader, None)
            except csv.Error as error:
                raise SheetError(_quotes(number + 1)) from error
            if record is None:
                return
            number += 1
            if len(record) > LIMITS.columns:
                raise SheetError(
                    f"Row {number} has {len(record):,} columns; {LIMITS.columns} are the most. "
                    "Delete those that are not needed."
                )
            cells = tuple(map(shortened, record))
            tells = number == 1 and bool(cells) and cells[0].casefold() == "sep="
            if any(cells) and not tells:
                yield Row(number, cells, frozenset(), place)


def _quotes(number: int) -> str:
    """Return what is wrong where the marks around a cell do not match."""
    return (
        f"Row {number}: a quotation mark is not closed, or stands inside a cell without being "
        "doubled. Mend it and send the file again."
    )
