"""The answer to who asks for a list as a file."""

from __future__ import annotations

import re
from tempfile import TemporaryFile

from django.http import FileResponse, HttpRequest, StreamingHttpResponse
from django.http.response import HttpResponseBase
from django.utils import timezone
from django.utils.http import content_disposition_header
from django_tables2 import Table

from inventory.exporting.cells import currency_of, heads_of, rows_of
from inventory.exporting.csvfile import csv_pieces
from inventory.exporting.workbook import write_workbook

ASKED = "export"
CSV, XLSX = "csv", "xlsx"
KINDS = {CSV: "CSV", XLSX: "XLSX"}
TYPES = {
    CSV: "text/csv; charset=utf-8",
    XLSX: "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
}


def asked_for(request: HttpRequest) -> str:
    """Return which kind of file is asked for, an empty text where none is."""
    kind = request.GET.get(ASKED, "") if request.method in {"GET", "HEAD"} else ""
    return kind if kind in KINDS else ""


def as_file(request: HttpRequest, table: Table, kind: str) -> HttpResponseBase:
    """Return all rows of a list as a file, under the list's name and today's date.

    CSV is sent as it is written; a workbook is whole only at its end, so it is written to the
    disk before.
    """
    heads, rows = heads_of(table), rows_of(table)
    response: HttpResponseBase
    if kind == CSV:
        response = StreamingHttpResponse(csv_pieces(heads, rows, currency_of(table)))
    else:
        file = TemporaryFile()  # noqa: SIM115 - the response closes it
        write_workbook(file, heads, rows, locale=table.request.shop.locale)
        file.seek(0)
        response = FileResponse(file)
    response.headers["Content-Type"] = TYPES[kind]
    name = f"{file_stem(request.path)}-{timezone.localdate().isoformat()}.{kind}"
    response.headers["Content-Disposition"] = str(content_disposition_header(True, name))  # noqa: FBT003 - Django's order
    response.headers["Cache-Control"] = "private, no-store"
    return response


def file_stem(path: str) -> str:
    """Return a name for a file by its page's address."""
    return re.sub(r"[^a-z0-9]+", "-", path.lower()).strip("-") or "list"
