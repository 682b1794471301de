"""Checking a file of comparables, row by row and column by column."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from inventory.core.sheets import (
    MARKS,
    Limits,
    Sheet,
    SheetError,
    decimal_mark,
    read_sheet,
    unlike,
    with_point,
)
from quotes.resale.forms import ComparableForm
from quotes.resale.importing.columns import BY_NAME, COLUMNS, MUST, Column, known, plain
from workshop.shop.models import Shop

LIMITS = Limits(file_bytes=500_000, rows=2_000, columns=40, letters=300)
TOO_LONG = (
    "This stands beyond the last column. Where a text or price holds the delimiter, put it in "
    "quotation marks."
)
Cells = dict[str, str]


@dataclass(frozen=True, slots=True)
class Problem:
    """What is wrong in a cell, or in a row where ``column`` is empty, and what to do."""

    row: int
    column: str
    cell: str
    message: str


@dataclass(frozen=True, slots=True)
class Reading:
    """How rows are read: columns by place, width of the head, decimal mark, and for whom."""

    columns: dict[int, Column]
    width: int
    mark: str
    shop: Shop


@dataclass(frozen=True, slots=True)
class Checked:
    """A file that was read: how, its good rows by number, and what is wrong in the others."""

    encoding: str
    delimiter: str
    mark: str
    unused: tuple[str, ...]
    good: tuple[tuple[int, dict[str, Any]], ...]
    problems: tuple[Problem, ...]


def check_file(data: bytes, shop: Shop) -> Checked:
    """Return the rows of a file as comparables' facts, and what is wrong in it.

    Raises:
        SheetError: it cannot be read as a table, or a column that is needed is missing.
    """
    sheet = read_sheet(data, LIMITS, known)
    if not sheet.rows:
        raise SheetError("There is no row below the columns' names. Add one for each price.")
    columns = _columns(sheet)
    prices = _prices(sheet, columns)
    reading = Reading(columns, len(sheet.head), decimal_mark(prices), shop)
    good: list[tuple[int, dict[str, Any]]] = []
    problems: list[Problem] = []
    for number, cells in sheet.rows:
        facts, wrong = _checked_row(number, cells, reading)
        problems += wrong
        if facts is not None:
            good.append((number, facts))
    unused = tuple(name for name in sheet.head if name and not known(name))
    return Checked(
        sheet.encoding, sheet.delimiter, MARKS[reading.mark], unused, tuple(good), tuple(problems)
    )


def _columns(sheet: Sheet) -> dict[int, Column]:
    """Return the columns that are known, by their place."""
    columns = {place: BY_NAME[plain(name)] for place, name in enumerate(sheet.head) if known(name)}
    twice = unlike([each.field for each in columns.values()], plain)
    if twice:
        name = next(each.name for each in columns.values() if each.field == twice)
        raise SheetError(f"There are two columns for “{name}”. Delete one of them.")
    there = {each.field for each in columns.values()}
    missing = [f"“{each.name}”" for each in MUST if each.field not in there]
    if not there & {"maker_year", "age"}:
        missing.append("“maker's year” (or “age”)")
    if missing:
        raise SheetError(f"Missing: {', '.join(missing)}. Name the columns as in the guide.")
    return columns


def _prices(sheet: Sheet, columns: dict[int, Column]) -> Iterator[str]:
    """Yield what stands in the column of prices."""
    place = next(place for place, each in columns.items() if each.field == "price")
    return (cells[place] for _, cells in sheet.rows if place < len(cells))


def _checked_row(
    number: int, cells: tuple[str, ...], reading: Reading
) -> tuple[dict[str, Any] | None, list[Problem]]:
    """Return a row's facts, None where something is wrong with it, and what that is."""
    if any(cells[reading.width :]):
        beyond = next(cell for cell in cells[reading.width :] if cell)
        return None, [Problem(number, "", beyond, TOO_LONG)]
    written = {
        each.field: cells[place] if place < len(cells) else ""
        for place, each in reading.columns.items()
    }
    data = {each.field: each.read(written[each.field]) for each in reading.columns.values()}
    data["price"] = with_point(data["price"], reading.mark)
    form = ComparableForm(data, shop=reading.shop)
    if form.is_valid():
        return form.facts(), []
    return None, list(_problems(number, form, written))


def _problems(number: int, form: ComparableForm, written: Cells) -> Iterator[Problem]:
    """Yield what the form found wrong, in the order of the columns."""
    for column in COLUMNS:
        for message in form.errors.get(column.field, ()):
            yield Problem(number, column.name, written.get(column.field, ""), str(message))
