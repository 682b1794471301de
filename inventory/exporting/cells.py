"""The cells of a list's rows as figures, amounts, days and texts, read row by row.

A column's ``value_x`` on the table, or ``value`` on its class, says what stands in the file; where
there is none, amounts, figures and days are kept as such and all else is what the page shows.
"""

from __future__ import annotations

import datetime as dt
import html
from collections.abc import Callable, Iterator
from decimal import Decimal
from typing import Any

from django.core.exceptions import FieldDoesNotExist
from django.utils import timezone
from django.utils.html import strip_tags
from django.utils.safestring import SafeString
from django_tables2 import Column, DateColumn, DateTimeColumn, ManyToManyColumn, Table
from django_tables2.columns import BoundColumn
from django_tables2.columns.linkcolumn import BaseLinkColumn
from django_tables2.data import TableQuerysetData
from django_tables2.rows import BoundRow
from django_tables2.utils import signature

from inventory.core.cells import Cell, Money, Share

ROWS_A_TIME = 2000
TYPED = (int, Decimal, dt.date, Money, Share)
Reader = Callable[[BoundRow], Cell]
Call = Callable[..., Any]


def heads_of(table: Table) -> list[str]:
    """Return the columns' names; that of amounts says in which currency they are."""
    return [_head(column, table) for column in table.columns]


def rows_of(table: Table) -> Iterator[list[Cell]]:
    """Yield the cells of every row, in the table's order; one query, few rows in memory."""
    readers = [_reader(column, table) for column in table.columns]
    for record in _records(table):
        row = BoundRow(record, table)
        yield [read(row) for read in readers]


def currency_of(table: Table) -> str:
    """Return the currency of a table's amounts: its own ``currency``, else the shop's."""
    own: str = getattr(table, "currency", "")
    return own or str(table.request.shop.currency)


def _records(table: Table) -> Iterator[Any]:
    data = table.data
    if isinstance(data, TableQuerysetData):
        data = data.data.iterator(chunk_size=ROWS_A_TIME)
    yield from data


def _head(column: BoundColumn, table: Table) -> str:
    words = str(column.header)
    return f"{words} ({currency_of(table)})" if _has(column, "money") and words else words


def _has(column: BoundColumn, kind: str) -> bool:
    """Tell whether a column's cells are of a class."""
    return kind in column.column.attrs.get("td", {}).get("class", "").split()


def _reader(column: BoundColumn, table: Table) -> Reader:
    """Return what reads a column's cell."""
    told = _told(column, table)
    content = _called(told or column.render)
    currency = currency_of(table) if _has(column, "money") else ""

    def cell(row: BoundRow, value: object) -> Cell:
        if told is not None:
            return _written(content(row, column, value))
        kept = _kept(column, value, currency)
        return _written(content(row, column, value)) if kept is None else kept

    def read(row: BoundRow) -> Cell:
        found: Cell = row._get_and_render_with(  # noqa: SLF001 - the public way renders each cell
            column, render_func=lambda _column, value=None: cell(row, value), default=None
        )
        return found

    def read_plainly(row: BoundRow) -> Cell:
        value = getattr(row.record, column.accessor, None)
        if callable(value):
            return read(row)
        return None if value in column.column.empty_values else cell(row, value)

    return read_plainly if _is_plain(column, table) else read


def _is_plain(column: BoundColumn, table: Table) -> bool:
    """Tell whether a column shows what the records hold under its name, without words of choices.

    Most do; the way around django-tables2's search for related records is three times as short.
    """
    data = table.data
    special = isinstance(column.column, ManyToManyColumn | BaseLinkColumn)
    if special or not isinstance(data, TableQuerysetData) or not column.accessor.isidentifier():
        return False
    try:
        field = data.data.model._meta.get_field(column.accessor)
    except FieldDoesNotExist:
        return "__" not in column.accessor
    return not getattr(field, "choices", None)


def _told(column: BoundColumn, table: Table) -> Call | None:
    """Return what the table or the column's class says of the value, if either does."""
    by_table: Call | None = getattr(table, f"value_{column.name}", None)
    kind = type(column.column)
    if by_table is not None or issubclass(kind, DateColumn | DateTimeColumn):
        return by_table
    by_class: Call | None = column.column.value if kind.value is not Column.value else None
    return by_class


def _called(function: Call) -> Call:
    """Return a function that hands on only what is asked for; that is found out once a column."""
    wanted, takes_any = signature(function)

    def call(row: BoundRow, column: BoundColumn, value: object) -> Any:  # noqa: ANN401 - any cell
        offered = row._optional_cell_arguments(column, value)  # noqa: SLF001 - as above
        return function(**(offered if takes_any else {name: offered[name] for name in wanted}))

    return call


def _kept(column: BoundColumn, value: object, currency: str) -> Cell:
    """Return an amount, a figure or a day as such; None for all else."""
    if isinstance(value, dt.datetime):
        local = timezone.localtime(value).replace(tzinfo=None)
        return local.date() if isinstance(column.column, DateColumn) else local
    if isinstance(value, dt.date):
        return value
    if isinstance(value, Decimal) and currency:
        return Money(value, currency)
    figure = isinstance(value, int | Decimal) and not isinstance(value, bool)
    return value if figure and _has(column, "number") else None  # type: ignore[return-value]


def _written(content: object) -> Cell:
    """Return what is shown as a cell: a text without the marks of HTML, a figure as it is."""
    if isinstance(content, SafeString):
        return " ".join(html.unescape(strip_tags(content)).split())
    if isinstance(content, TYPED) and not isinstance(content, bool):
        return content
    return None if content is None else str(content)
