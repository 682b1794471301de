"""The selling price from cost: a mark-up, then an ending that customers are used to."""

from __future__ import annotations

from decimal import ROUND_CEILING, Decimal, localcontext
from enum import Enum

ZERO = Decimal(0)
HUNDREDTH = Decimal("0.01")
FINE = Decimal("0.0001")


class Rounding(Enum):
    """How a price ends on the ticket, VAT included: the next such price, never a lower one."""

    NONE = "none"
    FIFTY = "fifty"
    WHOLE = "whole"
    NINETY_NINE = "ninety_nine"


def selling_price(
    cost: Decimal,
    markup: Decimal,
    rounding: Rounding,
    *,
    vat_rate: Decimal = ZERO,
    unit: Decimal = HUNDREDTH,
) -> Decimal:
    """Return the price net of VAT, to four decimals, whose price with VAT ends as wished.

    ``cost`` is net; ``markup`` is a share of it, 0.6 for 60 %. ``unit`` is the currency's minor
    unit; the endings are 50, 100 and 99 of it. Raises ``ValueError`` for a cost or a mark-up
    below zero.
    """
    if cost < 0 or markup < 0 or vat_rate < 0:
        raise ValueError("A cost, a mark-up and a rate of VAT are never below zero.")
    with localcontext(prec=40):
        gross = ending(cost * (1 + markup) * (1 + vat_rate), rounding, unit)
        return (gross / (1 + vat_rate)).quantize(FINE)


def ending(gross: Decimal, rounding: Rounding, unit: Decimal) -> Decimal:
    """Return the lowest amount that ends as wished and is no less than ``gross``; 0 stays 0."""
    if not gross:
        return gross
    match rounding:
        case Rounding.NONE:
            return up(gross, unit)
        case Rounding.FIFTY:
            return up(gross, 50 * unit)
        case Rounding.WHOLE:
            return up(gross, 100 * unit)
        case Rounding.NINETY_NINE:
            return up(gross + unit, 100 * unit) - unit


def up(amount: Decimal, step: Decimal) -> Decimal:
    """Return the next multiple of a step."""
    return (amount / step).quantize(Decimal(1), ROUND_CEILING) * step
