"""VAT: on a net amount, inside a gross one, and on the margin of second-hand goods."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from inventory.core.money import quantise

ZERO = Decimal(0)


def vat_of(net: Decimal, rate: Decimal, currency: str) -> Decimal:
    """Return the VAT on a net amount, quantised; ``rate`` is a fraction."""
    return quantise(net * rate, currency)


def vat_in(gross: Decimal, rate: Decimal) -> Decimal:
    """Return the VAT inside a gross amount, not quantised: gross × rate / (1 + rate).

    Source of the fraction: HMRC Notice 718, "VAT margin schemes" (1/6 at 20 %).
    """
    return gross * rate / (1 + rate)


def margin_vat(
    selling_gross: Decimal, purchase_gross: Decimal, rate: Decimal, currency: str
) -> Decimal:
    """Return the VAT on the sale of one second-hand article, quantised and never negative.

    It is inside the margin, the selling less the purchase price. Repairs and parts never count
    into the purchase price, and on a loss no VAT is due (HMRC Notice 718).
    """
    margin = max(ZERO, selling_gross - purchase_gross)
    return quantise(vat_in(margin, rate), currency)


@dataclass(frozen=True, slots=True)
class MarginSale:
    """A second-hand article sold under the margin scheme: both prices as paid, gross."""

    selling_gross: Decimal
    purchase_gross: Decimal


@dataclass(frozen=True, slots=True)
class ReturnBoxes:
    """What margin-scheme trade puts into a British VAT return, in pounds and pence.

    The return itself takes boxes 6 to 9 in whole pounds; they are rounded once, with all other
    trade in them.
    """

    box_1: Decimal
    box_6: Decimal
    box_7: Decimal
    box_8: Decimal = ZERO
    box_9: Decimal = ZERO


def margin_return(
    sales: Iterable[MarginSale], purchases: Iterable[Decimal], rate: Decimal, currency: str
) -> ReturnBoxes:
    """Return the boxes for what was sold and what was bought for resale in a period.

    Box 1: VAT on the margins, article by article; 6: full selling prices less that VAT; 7: full
    purchase prices; 8 and 9: nothing. Source: HMRC Notice 718, VAT return section.
    """
    sales = tuple(sales)
    vat = sum(
        (margin_vat(each.selling_gross, each.purchase_gross, rate, currency) for each in sales),
        ZERO,
    )
    sold = sum((each.selling_gross for each in sales), ZERO)
    return ReturnBoxes(box_1=vat, box_6=sold - vat, box_7=sum(purchases, ZERO))
