"""The columns of a file of comparables: their names, what may stand in them, and how it is read."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from quotes.resale.models import Grade, PriceKind
from workshop.bikes.models import Frame


def plain(text: str) -> str:
    """Return a column's name or a choice as it is compared: letters and figures, no case."""
    return "".join(each for each in text.casefold() if each.isalnum())


def as_it_is(cell: str) -> str:
    """Return the cell."""
    return cell


def one_of(words: Mapping[str, object]) -> Callable[[str], str]:
    """Return what reads a cell by a table of words; an unknown word is left as it is."""

    def read(cell: str) -> str:
        return str(words.get(plain(cell), cell))

    return read


FRAME_WORDS = {
    **dict.fromkeys(("folding", "folder", "folds", "yes"), Frame.FOLDING.value),
    **dict.fromkeys(("notfolding", "diamond", "rigid", "no"), Frame.DIAMOND.value),
}
KIND_WORDS = {
    **dict.fromkeys(("asked", "asking", "ask", "offered"), PriceKind.ASKED.value),
    **dict.fromkeys(("sold", "sale", "paid"), PriceKind.SOLD.value),
}
GRADE_WORDS = {
    words: grade.value
    for grade in Grade
    for words in (
        plain(grade.label),
        plain(grade.label.partition(" ")[2].partition(":")[0]),
        plain(grade.label.partition(":")[0]),
    )
}


@dataclass(frozen=True, slots=True)
class Column:
    """A column: the form's field that it fills, its name, its other names, and its guide.

    ``must`` is "yes", "no", or what is asked for instead.
    """

    field: str
    name: str
    others: tuple[str, ...]
    must: str
    guide: str
    example: str
    read: Callable[[str], str] = as_it_is


COLUMNS = (
    Column("make", "make", ("brand", "manufacturer"), "yes", "Who made it.", "Larkfold"),
    Column(
        "model", "model", ("model name",), "no", "Written the same way each time.", "Commuter 6"
    ),
    Column(
        "frame",
        "frame",
        ("frame kind", "folding"),
        "yes",
        "“folding” or “not folding”.",
        "folding",
        one_of(FRAME_WORDS),
    ),
    Column(
        "maker_year",
        "maker's year",
        ("year", "model year", "year of build"),
        "or age",
        "Four figures.",
        "2019",
    ),
    Column(
        "age",
        "age",
        ("age in years", "years"),
        "or maker's year",
        "Whole years on the day it was seen.",
        "6",
    ),
    Column(
        "condition",
        "condition",
        ("grade", "state"),
        "yes",
        "1 poor, 2 tired, 3 fair, 4 good, 5 as new: the figure or the word.",
        "4",
        one_of(GRADE_WORDS),
    ),
    Column(
        "price",
        "price",
        ("amount", "price gross"),
        "yes",
        "Gross, in the shop's currency. Comma or point before the decimals, all alike.",
        "495.00",
    ),
    Column(
        "kind",
        "asked or sold",
        ("kind", "asked/sold", "price kind"),
        "yes",
        "“asked” or “sold”.",
        "sold",
        one_of(KIND_WORDS),
    ),
    Column(
        "seen_on",
        "seen on",
        ("date", "day", "date seen", "seen"),
        "yes",
        "2026-03-14 or 14/03/2026: the day stands before the month.",
        "2025-03-14",
    ),
    Column(
        "days_on_shelf",
        "days on the shelf",
        ("days", "shelf days", "days on shelf"),
        "no",
        "Whole days from first offered until sold.",
        "21",
    ),
    Column(
        "source",
        "where it was seen",
        ("source", "note", "where"),
        "no",
        "Your own words, up to 200 letters.",
        "Sunday market",
    ),
)
BY_NAME = {plain(name): each for each in COLUMNS for name in (each.name, *each.others)}
MUST = tuple(each for each in COLUMNS if each.must == "yes")


def known(name: str) -> bool:
    """Tell whether a column's name is one of ours."""
    return plain(name) in BY_NAME


def template() -> str:
    """Return a file with the columns' names and one example, as a spreadsheet opens it."""
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(each.name for each in COLUMNS)
    writer.writerow(each.example for each in COLUMNS)
    return out.getvalue()
