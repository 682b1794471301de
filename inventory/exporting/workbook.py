"""A list as a workbook (XLSX): typed cells, written row by row to a file."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from decimal import Decimal
from functools import cache
from typing import IO, Any

from babel import Locale
from babel.numbers import get_currency_precision, get_currency_symbol

from inventory.core.cells import Cell, Money, Share
from inventory.core.sheets import runs_as_formula

ROWS_A_SHEET = 1_000_000
"""Below the 1,048,576 that a sheet holds."""
LONGEST_TEXT = 32_767
"""Letters in a cell. Source: ECMA-376 part 1, 18.4.12, and every spreadsheet's own limit."""
WIDTH = 18
WIDE = 36


class Sheets:
    """A workbook being written; the next sheet is begun where one is full."""

    def __init__(self, book: Any, heads: Sequence[str], locale: str) -> None:  # noqa: ANN401 - untyped
        self.book, self.heads, self.locale = book, heads, locale
        self.formats: dict[str, Any] = {}
        self.sheet: Any = None
        self.row = ROWS_A_SHEET

    def begin(self) -> None:
        """Begin a sheet with the columns' names, which stay in sight."""
        self.sheet = self.book.add_worksheet()
        self.sheet.set_column(0, 0, WIDE)
        self.sheet.set_column(1, max(len(self.heads) - 1, 1), WIDTH)
        self.sheet.freeze_panes(1, 0)
        bold = self.book.add_format({"bold": True})
        for place, head in enumerate(self.heads):
            self.sheet.write_string(0, place, head, bold)
        self.row = 1

    def add(self, cells: Iterable[Cell]) -> None:
        """Add a row."""
        if self.row >= ROWS_A_SHEET:
            self.begin()
        for place, cell in enumerate(cells):
            self.write(place, cell)
        self.row += 1

    def write(self, place: int, cell: Cell) -> None:
        """Write a cell by its kind; a text is never taken for a formula, a link or a number."""
        match cell:
            case None | "":
                return
            case Money(amount, currency):
                self.number(place, amount, money_format(currency, self.locale))
            case Share(fraction):
                whole = fraction * 100 == (fraction * 100).to_integral_value()
                self.number(place, fraction, "0%" if whole else "0.0#%")
            case int() | Decimal():
                self.number(place, Decimal(cell), "")
            case dt.datetime():
                self.sheet.write_datetime(self.row, place, cell, self.look("yyyy-mm-dd hh:mm"))
            case dt.date():
                self.sheet.write_datetime(self.row, place, cell, self.look("yyyy-mm-dd"))
            case _:
                look = self.quoted() if runs_as_formula(cell) else None
                self.sheet.write_string(self.row, place, cell[:LONGEST_TEXT], look)

    def number(self, place: int, number: Decimal, shown: str) -> None:
        """Write a number, shown as a format says."""
        self.sheet.write_number(self.row, place, number, self.look(shown) if shown else None)

    def look(self, shown: str) -> Any:  # noqa: ANN401 - untyped
        """Return a number's format, made once."""
        if shown not in self.formats:
            self.formats[shown] = self.book.add_format({"num_format": shown})
        return self.formats[shown]

    def quoted(self) -> Any:  # noqa: ANN401 - untyped
        """Return the format of a text that stays one also when somebody edits it."""
        if "quoted" not in self.formats:
            self.formats["quoted"] = self.book.add_format({"quote_prefix": True})
        return self.formats["quoted"]


def write_workbook(
    file: IO[bytes], heads: Sequence[str], rows: Iterable[Iterable[Cell]], *, locale: str
) -> None:
    """Write a workbook to a file; memory does not grow with the rows."""
    from xlsxwriter import Workbook

    plain = {"strings_to_formulas": False, "strings_to_urls": False, "strings_to_numbers": False}
    with Workbook(file, {"constant_memory": True, **plain}) as book:
        sheets = Sheets(book, heads, locale)
        sheets.begin()
        for row in rows:
            sheets.add(row)


@cache
def money_format(currency: str, locale: str) -> str:
    """Return the format by which a spreadsheet shows an amount as the shop writes it."""
    pattern = str(Locale.parse(locale).currency_formats["standard"].pattern).partition(";")[0]
    digits = get_currency_precision(currency)
    number = "#,##0" + (f".{'0' * digits}" if digits else "")
    sign = f"[${get_currency_symbol(currency, locale)}]"
    space = " " if "\u00a0" in pattern or " " in pattern else ""
    return sign + space + number if pattern.startswith("¤") else number + space + sign
