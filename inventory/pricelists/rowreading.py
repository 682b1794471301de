"""One row of a price list: its article and price, or what is wrong with it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

from inventory.pricelists.columns import LABELS
from inventory.reading.figures import (
    FINE,
    FigureError,
    gtin_in,
    is_in,
    pack_in,
    price_in,
    share_in,
)
from inventory.reading.rows import Row

LONGEST_CODE, LONGEST_NAME = 60, 200
ONE = Decimal(1)


@dataclass(frozen=True, slots=True)
class Plan:
    """How rows are read: columns' places and names, decimal mark, the supplier's currency."""

    columns: Mapping[str, int]
    head: tuple[str, ...]
    mark: str
    currency: str

    def name_of(self, key: str) -> str:
        """Return what the list calls a column."""
        place = self.columns.get(key)
        name = self.head[place] if place is not None and place < len(self.head) else ""
        return name or LABELS[key]


@dataclass(frozen=True, slots=True)
class Article:
    """A row that is fine; prices net, for one pack, in the supplier's currency."""

    number: int
    code: str
    gtin: str
    name: str
    pack: int
    list_price_net: Decimal
    discount: Decimal
    cost_net: Decimal


@dataclass(frozen=True, slots=True)
class Wrong:
    """What is wrong in a cell."""

    number: int
    column: str
    cell: str
    message: str
    code: str


class _Row:
    """A row while it is read: takes what is wrong in it."""

    def __init__(self, row: Row, plan: Plan) -> None:
        self.row, self.plan = row, plan
        self.wrong: list[Wrong] = []
        self.code = self.cell("code")

    def cell(self, key: str) -> str:
        """Return the cell in a column."""
        return self.row.cell(self.plan.columns.get(key))

    def is_figure(self, key: str) -> bool:
        """Tell whether the cell holds a true number."""
        return self.plan.columns.get(key) in self.row.figures

    def refuse(self, key: str, message: str) -> None:
        """Take down what is wrong."""
        self.wrong.append(
            Wrong(self.row.number, self.plan.name_of(key), self.cell(key), message, self.code)
        )

    def check_texts(self) -> None:
        """See that there are a code and a name."""
        if not self.code:
            self.refuse("code", "There is no code. Write it, or delete the row.")
        elif len(self.code) > LONGEST_CODE:
            self.refuse("code", f"This is longer than {LONGEST_CODE} letters. Is it the code?")
        if not self.cell("name"):
            self.refuse("name", "There is no name. Write it, or delete the row.")

    def price(self) -> Decimal:
        """Return the list price."""
        cell = self.cell("price")
        try:
            found = price_in(cell, self.plan.mark, is_figure=self.is_figure("price"))
        except FigureError as error:
            self.refuse("price", str(error))
            return Decimal(0)
        for key, mark in (("price", found.currency), ("currency", self.cell("currency"))):
            if not is_in(mark, self.plan.currency):
                self.refuse(
                    key,
                    f"This is in another currency. This supplier's prices are in "
                    f"{self.plan.currency}: send the others as a supplier of their own.",
                )
        return found.amount

    def discount(self) -> Decimal:
        """Return the discount as a fraction."""
        cell = self.cell("discount")
        try:
            figure = self.is_figure("discount")
            return share_in(cell, self.plan.mark, is_figure=figure) if cell else Decimal(0)
        except FigureError as error:
            self.refuse("discount", str(error))
        return Decimal(0)

    def pack(self) -> int:
        """Return how many pieces a pack holds."""
        try:
            return pack_in(self.cell("pack"))
        except FigureError as error:
            self.refuse("pack", str(error))
        return 1

    def gtin(self) -> str:
        """Return the GTIN."""
        try:
            return gtin_in(self.cell("gtin"))
        except FigureError as error:
            self.refuse("gtin", str(error))
        return ""


def read_article(row: Row, plan: Plan) -> Article | list[Wrong]:
    """Return the article in a row, or everything that is wrong with the row."""
    reading = _Row(row, plan)
    reading.check_texts()
    price, discount = reading.price(), reading.discount()
    pack, gtin = reading.pack(), reading.gtin()
    if reading.wrong:
        return reading.wrong
    cost = (price * (ONE - discount)).quantize(FINE, rounding=ROUND_HALF_UP)
    name = reading.cell("name")[:LONGEST_NAME]
    return Article(row.number, reading.code, gtin, name, pack, price, discount, cost)
