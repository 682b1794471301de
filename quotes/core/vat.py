"""VAT: on a net amount, inside a gross one, and on the margin of second-hand goods."""

from __future__ import annotations

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
