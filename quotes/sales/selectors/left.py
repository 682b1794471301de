"""What is left of a sale after what was paid back of it: prices, margin, VAT, and its lines."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from django.db.models import Prefetch

from inventory.core.money import ZERO
from quotes.sales.models import Line, Reduction, Sale

BIKE = 1
"""The position of the bike's line."""


@dataclass(frozen=True, slots=True)
class Left:
    """What is left of a sale, gross as paid: of the bike, of all lines; its margin and its VAT.

    ``along_vat`` is the VAT left on what was sold along.
    """

    price: Decimal
    total: Decimal
    margin: Decimal
    vat: Decimal
    along_vat: Decimal = ZERO


@dataclass(frozen=True, slots=True)
class LineLeft:
    """What is left of a line of an invoice; ``vat`` is what the invoice shows of it."""

    description: str
    vat_rate: Decimal | None
    vat: Decimal
    gross: Decimal


def with_reductions() -> Prefetch[str]:
    """Return what loads the reductions of sales with their lines, in one query."""
    return Prefetch("reductions", Reduction.objects.select_related("line", "by").order_by("pk"))


def is_of_bike(reduction: Reduction) -> bool:
    """Tell whether the price of the bike was reduced, not of something sold along."""
    return bool(reduction.line.position == BIKE)


def left_of(sale: Sale, along_vat: Decimal = ZERO) -> Left:
    """Return what is left of a sale; ``along_vat`` is the VAT of what was sold along."""
    made = list(sale.reductions.all())
    of_bike = [each for each in made if is_of_bike(each)]
    off = sum((each.amount for each in of_bike), ZERO)
    return Left(
        price=sale.price - off,
        total=sale.total - sum((each.amount for each in made), ZERO),
        margin=sale.margin - off,
        vat=sale.vat - sum((each.vat for each in of_bike), ZERO),
        along_vat=along_vat - sum((each.vat for each in made if not is_of_bike(each)), ZERO),
    )


def lines_left(sale: Sale) -> list[LineLeft]:
    """Return the lines of a sale with what is left of each."""
    made = list(sale.reductions.all())
    return [_line_left(line, made) for line in sale.lines.all()]


def _line_left(line: Line, made: list[Reduction]) -> LineLeft:
    """Return what is left of a line; a line that shows no VAT shows none that falls away."""
    own = [each for each in made if each.line_id == line.pk]
    shown = ZERO if line.vat_rate is None else sum((each.vat for each in own), ZERO)
    gross = line.gross - sum((each.amount for each in own), ZERO)
    return LineLeft(line.description, line.vat_rate, line.vat - shown, gross)
