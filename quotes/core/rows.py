"""Rows before they are priced, and the one place where a row becomes a priced line."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from inventory.core.money import quantise
from quotes.core.lines import BandRate, Change, HandLine, Kind, PriceBook, PricedLine
from quotes.core.totals import TIMED
from quotes.core.vat import vat_of
from quotes.core.work import Done, Fitted, PricingError, Reached
from workshop.core.judgement import Importance

ONE = Decimal(1)
MINUTES_AN_HOUR = Decimal(60)
NO_CHANGE = Change()
LABOUR = "labour:"
NOT_NEEDED = "no longer needed"
NOT_FITTED = "the work that fits it is left out"


@dataclass(frozen=True, slots=True)
class Row:
    """A line before it is priced: unit price and unit cost net, an hour's for minutes.

    ``whole_cost_net`` is the cost of the row where it does not hang on the quantity;
    ``needed_by`` as in ``PricedLine``.
    """

    key: str
    kind: Kind
    description: str
    findings: tuple[str, ...]
    importance: Importance
    quantity: Decimal
    unit: str
    unit_price_net: Decimal
    vat_code: str
    unit_cost_net: Decimal = Decimal(0)
    whole_cost_net: Decimal | None = None
    left_out: bool = False
    reason: str = ""
    needed_by: tuple[str, ...] = ()


def labour_row(done: Done, book: PriceBook) -> Row:
    """Return the row of an operation, in minutes at its band's rate.

    Raises ``PricingError`` where the price book has no rate for the band.
    """
    operation = done.operation
    rate = _rate(book, operation.band, operation.name)
    many = f" × {done.times}" if done.times > 1 else ""
    return Row(
        key=LABOUR + operation.code,
        kind=Kind.LABOUR,
        description=operation.name + many,
        findings=done.findings,
        importance=done.importance,
        quantity=operation.minutes * done.times,
        unit="min",
        unit_price_net=rate.charged_net,
        vat_code=book.labour_vat,
        unit_cost_net=rate.cost_net,
    )


def access_row(reached: Reached, book: PriceBook) -> Row:
    """Return the row of an access step, in minutes at its band's rate.

    Raises ``PricingError`` where the price book has no rate for the band.
    """
    step = reached.step
    rate = _rate(book, step.band, step.name)
    return Row(
        key=f"access:{step.code}",
        kind=Kind.ACCESS,
        description=step.name,
        findings=reached.findings,
        importance=reached.importance,
        quantity=step.minutes,
        unit="min",
        unit_price_net=rate.charged_net,
        vat_code=book.labour_vat,
        unit_cost_net=rate.cost_net,
        left_out=reached.left_out,
        reason=NOT_NEEDED if reached.left_out else "",
        needed_by=tuple(LABOUR + code for code in reached.operations),
    )


def part_row(fitted: Fitted) -> Row:
    """Return the row of a part, in its own unit."""
    part = fitted.part
    return Row(
        key=f"part:{part.operation}:{part.code}",
        kind=Kind.PART,
        description=part.name,
        findings=fitted.findings,
        importance=fitted.importance,
        quantity=part.quantity,
        unit=part.unit,
        unit_price_net=part.price_net,
        vat_code=part.vat_code,
        unit_cost_net=part.cost_net,
        left_out=fitted.left_out,
        reason=NOT_FITTED if fitted.left_out else "",
    )


def hand_row(line: HandLine) -> Row:
    """Return the row of a line entered by hand."""
    return Row(
        key=line.key,
        kind=Kind.HAND,
        description=line.description,
        findings=line.findings,
        importance=line.importance,
        quantity=line.quantity,
        unit=line.unit,
        unit_price_net=line.unit_price_net,
        vat_code=line.vat_code,
        whole_cost_net=line.cost_net,
        reason=line.reason,
    )


def _rate(book: PriceBook, band: str, name: str) -> BandRate:
    """Return a band's rate or say that it is missing."""
    if band not in book.labour:
        raise PricingError(f"No labour rate for the band “{band}” of “{name}”. Enter one.")
    return book.labour[band]


def vat_rate(book: PriceBook, code: str) -> Decimal:
    """Return the rate of a kind of VAT as a fraction, zero where the shop is not registered.

    Raises ``PricingError`` where the price book has no rate of that kind.
    """
    if not book.registered:
        return Decimal(0)
    if code not in book.vat_rates:
        raise PricingError(f"No VAT rate of the kind “{code}” on that day. Enter one.")
    return book.vat_rates[code]


def priced(row: Row, book: PriceBook, change: Change = NO_CHANGE) -> PricedLine:
    """Return the row as a priced line, with the change by hand made first.

    Net and VAT are quantised here, once. A row that is left out keeps its amounts to be seen.
    Raises ``PricingError`` for a quantity below zero, for a price below zero on any but a line
    by hand, and for a VAT kind without a rate.
    """
    quantity = row.quantity if change.quantity is None else change.quantity
    price = row.unit_price_net if change.unit_price_net is None else change.unit_price_net
    if quantity < 0 or (price < 0 and row.kind != Kind.HAND):
        raise PricingError(f"“{row.description}” has an amount below zero. Enter zero or more.")
    per = MINUTES_AN_HOUR if row.kind in TIMED else ONE
    net = quantise(quantity * price / per, book.currency)
    cost = row.whole_cost_net
    if cost is None:
        cost = quantity * row.unit_cost_net / per
    rate = vat_rate(book, row.vat_code)
    vat = vat_of(net, rate, book.currency)
    return PricedLine(
        key=row.key,
        kind=row.kind,
        description=row.description,
        findings=row.findings,
        importance=row.importance,
        quantity=quantity,
        unit=row.unit,
        unit_price_net=price,
        net=net,
        vat_code=row.vat_code,
        vat_rate=rate,
        vat=vat,
        gross=net + vat,
        cost_net=quantise(cost, book.currency),
        left_out=row.left_out or change.leave_out,
        reason=change.reason or row.reason,
        needed_by=row.needed_by,
    )
