"""A list as CSV (RFC 4180): UTF-8 with its mark, figures with a point, days by ISO 8601."""

from __future__ import annotations

import csv
import datetime as dt
from collections.abc import Iterable, Iterator
from decimal import Decimal

from inventory.core.cells import Cell, Money, Share
from inventory.core.money import minor_unit
from inventory.core.sheets import guarded

MARK = "\ufeff"
ROWS_A_PIECE = 500


class _Line:
    """A file that hands each line back."""

    def write(self, text: str) -> str:
        """Return the line."""
        return text


def csv_pieces(
    heads: Iterable[str], rows: Iterable[Iterable[Cell]], currency: str
) -> Iterator[bytes]:
    """Yield the file piece by piece; amounts in another currency than this one name it."""
    writer = csv.writer(_Line())
    lines = [MARK, writer.writerow(map(guarded, heads))]
    for row in rows:
        lines.append(writer.writerow([written(cell, currency) for cell in row]))
        if len(lines) >= ROWS_A_PIECE:
            yield "".join(lines).encode()
            lines.clear()
    yield "".join(lines).encode()


def written(cell: Cell, currency: str) -> str:
    """Return a cell as it stands in the file; a text that a spreadsheet might reckon is marked."""
    match cell:
        case None:
            text = ""
        case Money(amount, other):
            text = in_full(amount, other) + ("" if other == currency else f" {other}")
        case Share(fraction):
            text = f"{plain(fraction * 100)}%"
        case Decimal():
            text = plain(cell)
        case dt.datetime():
            text = cell.strftime("%Y-%m-%d %H:%M")
        case dt.date() | int():
            text = str(cell)
        case _:
            text = guarded(cell)
    return text


def plain(number: Decimal) -> str:
    """Return a number without needless zeros, a point before its decimals."""
    return f"{number.normalize():f}"


def in_full(amount: Decimal, currency: str) -> str:
    """Return an amount with at least the currency's decimals."""
    unit = minor_unit(currency)
    return f"{amount.quantize(unit):f}" if amount == amount.quantize(unit) else plain(amount)
