"""Sizes of labels as tests want them."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from workshop.labels.models import LabelSize

SHEET = {
    "sheet_width": "210",
    "sheet_height": "297",
    "width": "63.5",
    "height": "38.1",
    "columns": 3,
    "rows": 7,
    "left": "7.2",
    "top": "15.1",
    "across": "66",
    "down": "38.1",
}
ROLL = {
    "sheet_width": "62",
    "sheet_height": "29",
    "width": "62",
    "height": "29",
    "columns": 1,
    "rows": 1,
    "left": "0",
    "top": "0",
    "across": "0",
    "down": "0",
}


def label_size(code: str = "a4-21", **fields: Any) -> LabelSize:
    """Return a size of labels: an A4 sheet of 21 unless something else is said."""
    given = {**SHEET, **fields}
    values = {
        name: Decimal(value) if isinstance(value, str) else value for name, value in given.items()
    }
    return LabelSize.objects.create(code=code, name=f"Labels {code}", **values)
