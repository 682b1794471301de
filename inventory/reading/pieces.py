"""Rows of a large XML file, read in pieces that each hold whole rows.

A piece is cut behind the last closed row and parsed by itself, so that memory stays bounded and
reading can go on from any row. Entities are refused.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from xml.etree.ElementTree import Element, ParseError
from xml.etree.ElementTree import fromstring as quick_fromstring

from defusedxml import DefusedXmlException
from defusedxml.ElementTree import fromstring

from inventory.reading.rows import LIMITS, SheetError

PIECE = 1 << 19
UNSOUND = "The table in this workbook is damaged. Open it, save it and send it again."
ENTITIES = "This workbook defines entities of its own, which no spreadsheet does. Do not open it."
XML_ENCODING = re.compile(rb"""<\?xml[^>]*encoding=["']([A-Za-z0-9._-]+)["']""")
Place = tuple[Element, int | None]


def parsed(xml: bytes) -> Element:
    """Return the root of a small XML text.

    Raises:
        SheetError: it is not well-formed, or defines entities.
    """
    try:
        root: Element = fromstring(xml, forbid_dtd=True)
    except DefusedXmlException as error:
        raise SheetError(ENTITIES) from error
    except (ParseError, ValueError, LookupError) as error:
        raise SheetError(UNSOUND) from error
    return root


def local(element: Element) -> str:
    """Return an element's name without its namespace."""
    return str(element.tag).rpartition("}")[2]


def opening(path: Path, name: bytes, start: int = 0) -> tuple[bytes, int]:
    """Return the first opening tag of a name from a byte on, and the byte behind it.

    Raises:
        SheetError: there is none, or a document type stands before it.
    """
    tag = re.compile(rb"<(?:[\w.-]+:)?" + name + rb"(?:\s[^<>]*)?>")
    with path.open("rb") as file:
        file.seek(start)
        buffer, skipped = b"", start
        while piece := file.read(PIECE):
            buffer += piece
            if b"<!DOCTYPE" in buffer or b"<!ENTITY" in buffer:
                raise SheetError(ENTITIES)
            told = XML_ENCODING.search(buffer)
            if told and told[1].lower() not in {b"utf-8", b"us-ascii"}:
                raise SheetError(UNSOUND)
            if found := tag.search(buffer):
                return found[0], skipped + found.end()
            skipped += max(0, len(buffer) - PIECE)
            buffer = buffer[-PIECE:]
    raise SheetError(UNSOUND)


def rows_of(
    path: Path, root: bytes, name: bytes, start: int, ends: bytes, drop: bytes = b""
) -> Iterator[Place]:
    """Yield each row's element with the byte behind it where reading can go on.

    ``root`` is the tag whose namespaces hold, ``name`` what a row is called, ``ends`` what is
    found behind the last row, ``drop`` tags around rows that are passed over. Only behind the last
    row of a piece can reading go on; the others tell None.

    Raises:
        SheetError: the XML is damaged or a row too long.
    """
    closed = re.compile(rb"</(?:[\w.-]+:)?" + name + rb"\s*>")
    last = re.compile(ends)
    passed = re.compile(drop) if drop else None
    with path.open("rb") as file:
        file.seek(start)
        begins, buffer, more = start, b"", True
        while more:
            piece = file.read(PIECE)
            buffer += piece
            end = last.search(buffer)
            more = bool(piece) and end is None
            cut = _cut(buffer, closed, end.start() if end else None, more=more)
            if cut is None:
                continue
            held, buffer = buffer[:cut], buffer[cut:]
            if not piece and not end and held.strip():
                raise SheetError(UNSOUND)
            yield from _parse(root, passed.sub(b"", held) if passed else held, begins + cut)
            begins += cut


def _cut(buffer: bytes, closed: re.Pattern[bytes], end: int | None, *, more: bool) -> int | None:
    """Return where whole rows end in the buffer, None where none is closed yet."""
    if not more:
        return len(buffer) if end is None else end
    for found in reversed(list(closed.finditer(buffer))):
        return found.end()
    if len(buffer) > LIMITS.row_bytes * 4:
        raise SheetError(
            "A row of this workbook is longer than a price list's can be. Delete the columns that "
            "are not needed, or send the list as CSV."
        )
    return None


def _parse(root: bytes, held: bytes, end: int) -> Iterator[Place]:
    """Yield the elements in a piece; the last one tells where the next piece begins."""
    name = re.match(rb"<([\w.:-]+)", root)
    if name is None:
        raise SheetError(UNSOUND)
    try:  # the compiled parser is safe here: within an element no document type can stand
        whole = quick_fromstring(b"".join((root, held, b"</", name[1], b">")))  # noqa: S314
    except (ParseError, ValueError, LookupError) as error:
        raise SheetError(UNSOUND) from error
    elements = list(whole)
    for index, element in enumerate(elements):
        yield element, end if index == len(elements) - 1 else None
