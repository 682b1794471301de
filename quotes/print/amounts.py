"""Lines as they are printed: how much of what, what to say beside it, what it comes to."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from decimal import Decimal

from inventory.core.money import ZERO, format_money
from quotes.print.paper import PrintedLine
from quotes.quoting.models import LineKind
from quotes.quoting.selectors.page import LineView
from workshop.core.judgement import Importance
from workshop.shop.models import Shop

PLAIN_UNITS = {"", "pc", "lot"}
WHAT_SUNDRIES_ARE = "grease, cable ends, cleaning"


class TotalsDifferError(Exception):
    """Raised where the printed lines do not add up to what the revision says."""


def printed(views: Iterable[LineView], shop: Shop) -> tuple[PrintedLine, ...]:
    """Return lines as they are printed, in their order."""
    return tuple(_printed(view, shop) for view in views)


def _printed(view: LineView, shop: Shop) -> PrintedLine:
    """Return a line as it is printed; one left out counts nothing."""
    line = view.line
    out = line.left_out
    return PrintedLine(
        description=line.description,
        measure=_measure(view, shop),
        notes=tuple(_notes(view)),
        importance=Importance(line.importance),
        vat_rate=line.vat_rate,
        net=ZERO if out else line.net,
        vat=ZERO if out else line.vat,
        gross=ZERO if out else line.gross,
        left_out=out,
    )


def hourly_rates(views: Iterable[LineView]) -> tuple[Decimal, ...]:
    """Return the prices of an hour, net, by which work that counts is charged, least first."""
    counted = (view.line for view in views if view.timed and not view.line.left_out)
    return tuple(sorted({line.unit_price_net for line in counted}))


def _notes(view: LineView) -> Iterable[str]:
    """Yield what is to be said below a line: what it is shared by, why it is out or in."""
    if view.line.kind == LineKind.SUNDRY:
        yield WHAT_SUNDRIES_ARE
    elif view.is_shared:
        yield f"charged once, for {_numbers(view.numbers)}"
    if view.line.left_out:
        yield f"left out: {view.line.reason}"
    elif view.by_hand:
        yield view.line.reason


def _numbers(numbers: Sequence[int]) -> str:
    """Return several finding numbers as text: “nos. 2, 3 and 7”."""
    return f"nos. {', '.join(map(str, numbers[:-1]))} and {numbers[-1]}"


def _measure(view: LineView, shop: Shop) -> str:
    """Return how much at what price: “25 min”, “2 × £3.10”, “1.5 m at £2.00”; nothing for one."""
    line = view.line
    quantity = f"{line.quantity.normalize():f}"
    if view.timed:
        return f"{quantity} min"
    if line.quantity == Decimal(1) and line.unit in PLAIN_UNITS:
        return ""
    price = format_money(line.unit_price_net, shop.currency, shop.locale)
    if line.unit in PLAIN_UNITS:
        return f"{quantity} × {price}"
    return f"{quantity} {line.unit} at {price}"
