"""Price lists as suppliers send them, odd and broken ones among them, made on the spot."""

from __future__ import annotations

import datetime as dt
import io
import zipfile
from collections.abc import Callable, Iterable

from odf.opendocument import OpenDocumentSpreadsheet
from odf.table import Table, TableCell, TableRow
from odf.text import P
from openpyxl import Workbook

HEAD = ("Code", "Name", "Price")
ROWS = (("A1", "Bell", 4.5), ("A2", "Basket", 19))
SHEET = (
    '<?xml version="1.0"?><worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/'
    '2006/main"><sheetData>{rows}</sheetData></worksheet>'
)


def xlsx(
    rows: Iterable[Iterable[object]] = (HEAD, *ROWS),
    change: Callable[[Workbook], object] | None = None,
) -> bytes:
    """Return a workbook with these rows, changed as told."""
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    for row in rows:
        sheet.append(list(row))
    if change:
        change(book)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def ods(rows: Iterable[Iterable[object]] = (HEAD, *ROWS)) -> bytes:
    """Return a spreadsheet with these rows."""
    document = OpenDocumentSpreadsheet()
    table = Table(name="Prices")
    document.spreadsheet.addElement(table)
    for row in rows:
        line = TableRow()
        table.addElement(line)
        for value in row:
            line.addElement(ods_cell(value))
    out = io.BytesIO()
    document.save(out)
    return out.getvalue()


def ods_cell(value: object) -> TableCell:
    """Return a cell of the right type."""
    if isinstance(value, int | float):
        cell = TableCell(valuetype="float", value=value)
    elif isinstance(value, dt.date):
        cell = TableCell(valuetype="date", datevalue=value.isoformat())
    else:
        cell = TableCell(valuetype="string")
    cell.addElement(P(text=str(value)))
    return cell


def repacked(data: bytes, **members: bytes | None) -> bytes:
    """Return a zip file with members replaced, added, or (None) left out; ``__`` is written for /.

    A dot is written as ``_dot_``.
    """
    new = {
        name.replace("__", "/").replace("_dot_", "."): content for name, content in members.items()
    }
    out = io.BytesIO()
    with (
        zipfile.ZipFile(io.BytesIO(data)) as old,
        zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as made,
    ):
        for name in old.namelist():
            if name not in new:
                made.writestr(name, old.read(name))
        for name, content in new.items():
            if content is not None:
                made.writestr(name, content)
    return out.getvalue()


def with_sheet(rows: str) -> bytes:
    """Return a workbook whose sheet holds this XML."""
    return repacked(xlsx(), xl__worksheets__sheet1_dot_xml=SHEET.format(rows=rows).encode())


def zipped(**members: bytes) -> bytes:
    """Return a zip file of these members."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as made:
        for name, content in members.items():
            made.writestr(name.replace("__", "/").replace("_dot_", "."), content)
    return out.getvalue()


def encrypted(data: bytes) -> bytes:
    """Return a zip file whose members are marked as encrypted."""
    out = bytearray(data)
    for mark, place in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):
        start = 0
        while (start := bytes(out).find(mark, start)) >= 0:
            out[start + place] |= 1
            start += 4
    return bytes(out)


def damaged(data: bytes, name: str) -> bytes:
    """Return a zip file in which a member's packed bytes are overwritten."""
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        info = archive.getinfo(name)
    start = info.header_offset + 30 + len(name) + 20
    return data[:start] + bytes(60) + data[start + 60 :]
