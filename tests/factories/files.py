"""Reading back, with other programs, the files that lists are written to."""

from __future__ import annotations

import csv
import io
from typing import Any
from urllib.parse import parse_qsl

import openpyxl
from django.test import Client
from openpyxl.worksheet.worksheet import Worksheet


def content_of(client: Client, url: str, **query: str) -> bytes:
    """Return the bytes of a file; what the address asks for already is asked for with it."""
    address, _, asked = url.partition("?")
    response: Any = client.get(address, dict(parse_qsl(asked)) | query)
    assert response.status_code == 200, (url, response.status_code)
    assert response["Content-Disposition"].startswith("attachment"), (url, query)
    return b"".join(response.streaming_content)


def csv_rows(client: Client, url: str, **query: str) -> list[list[str]]:
    """Return the rows of a list as CSV, the head among them."""
    data = content_of(client, url, **query | {"export": "csv"})
    assert data.startswith(b"\xef\xbb\xbf")
    return list(csv.reader(io.StringIO(data.decode("utf-8-sig"), newline="")))


def sheet(client: Client, url: str, **query: str) -> Worksheet:
    """Return the sheet of a list as a workbook."""
    data = content_of(client, url, **query | {"export": "xlsx"})
    made = openpyxl.load_workbook(io.BytesIO(data)).active
    assert isinstance(made, Worksheet)
    return made


def sheet_rows(client: Client, url: str, **query: str) -> list[list[object]]:
    """Return the values in the sheet of a list, the head among them."""
    return [list(row) for row in sheet(client, url, **query).iter_rows(values_only=True)]
