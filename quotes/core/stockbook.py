"""The stock book's arithmetic: under which scheme a bike is bought and sold, and the VAT of it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from inventory.core.money import quantise
from quotes.core.margin import Scheme
from quotes.core.vat import ReturnBoxes, margin_vat, vat_in

ZERO = Decimal(0)


def scheme_bought(usual: Scheme, *, registered: bool, vat_shown: bool) -> Scheme:
    """Return the scheme under which a bike that is bought now will be sold.

    ``usual`` is how the shop sells as a rule. Goods bought with VAT shown on the invoice are not
    eligible for the margin scheme (gov.uk, "VAT margin schemes"): they are sold in the ordinary
    way.
    """
    if not registered:
        return Scheme.NONE
    return Scheme.ORDINARY if vat_shown or usual is Scheme.NONE else usual


def scheme_sold(bought: Scheme, *, registered: bool, vat_shown: bool) -> Scheme:
    """Return the scheme of a sale: that decided at the purchase.

    It gives way only where the shop has left the register of VAT, or entered it, since: then no
    VAT is due, or what was bought without VAT shown falls under the margin scheme.
    """
    if not registered:
        return Scheme.NONE
    if bought is not Scheme.NONE:
        return bought
    return Scheme.ORDINARY if vat_shown else Scheme.MARGIN


def input_vat(
    price_gross: Decimal, rate: Decimal, currency: str, *, registered: bool, vat_shown: bool
) -> Decimal:
    """Return the VAT on a purchase that the shop gets back, quantised; ``rate`` is a fraction."""
    if not (registered and vat_shown):
        return ZERO
    return quantise(vat_in(price_gross, rate), currency)


@dataclass(frozen=True, slots=True)
class BikeSold:
    """What the sale of a bike comes to; amounts gross as paid, quantised.

    ``margin`` is the selling less the purchase price and below zero for a loss; ``vat`` lies in
    the price, or in the margin where it is taxed by itself. Of a pooled bike the pool's period
    says what VAT is due: here it is nothing.
    """

    price: Decimal
    margin: Decimal
    vat: Decimal


def bike_sold(
    scheme: Scheme,
    price_gross: Decimal,
    purchase_gross: Decimal,
    rate: Decimal,
    currency: str,
    *,
    pooled: bool = False,
) -> BikeSold:
    """Return what the sale of a bike comes to; ``rate`` is the standard rate of its day.

    Repairs and parts never count into the purchase price, and a loss bears no VAT (HMRC Notice
    718).

    Raises:
        ValueError: a price or the rate is below zero.
    """
    price, bought = quantise(price_gross, currency), quantise(purchase_gross, currency)
    if min(price, bought, rate) < 0:
        raise ValueError("A bike is sold and bought at no price below zero.")
    vat = ZERO
    if scheme is Scheme.ORDINARY:
        vat = quantise(vat_in(price, rate), currency)
    elif scheme is Scheme.MARGIN and not pooled:
        vat = margin_vat(price, bought, rate, currency)
    return BikeSold(price, price - bought, vat)


def vat_less(
    scheme: Scheme,
    before_gross: Decimal,
    after_gross: Decimal,
    purchase_gross: Decimal,
    rate: Decimal,
    currency: str,
    *,
    pooled: bool = False,
) -> Decimal:
    """Return the VAT that falls away where a price is reduced after the sale, quantised.

    What is left bears what a sale at that price would have borne, at the rate of the sale, so
    that several reductions never take off more than was due: under ordinary VAT the VAT in the
    reduction, under the margin scheme that on the margin by which the selling price falls.

    Raises:
        ValueError: a price or the rate is below zero, or the price rises.
    """
    if after_gross > before_gross:
        raise ValueError("A price that is reduced does not rise.")
    before, after = (
        bike_sold(scheme, each, purchase_gross, rate, currency, pooled=pooled)
        for each in (before_gross, after_gross)
    )
    return before.vat - after.vat


def made(price: Decimal, purchase: Decimal, vat: Decimal, *costs: Decimal) -> Decimal:
    """Return what is left of a price after the purchase, the VAT and all other costs."""
    return price - purchase - vat - sum(costs, ZERO)


@dataclass(frozen=True, slots=True)
class Dealt:
    """A sale or purchase as the VAT return counts it; its taking back has all below zero.

    ``pieces`` is how many bikes changed hands.
    """

    gross: Decimal
    vat: Decimal
    pieces: int = 1


def return_boxes(
    sales: Iterable[Dealt], purchases: Iterable[Dealt], *, margin_scheme: bool
) -> ReturnBoxes:
    """Return what a period's trade in bikes puts into a British VAT return, pounds and pence.

    Box 1: VAT on the sales; 6: sales less that VAT; 7: purchases, under the margin scheme at
    their full price, else less the VAT on them. Source: HMRC Notice 718, VAT return section.
    """
    sold, bought = tuple(sales), tuple(purchases)
    vat = sum((each.vat for each in sold), ZERO)
    paid = sum((each.gross for each in bought), ZERO)
    off = ZERO if margin_scheme else sum((each.vat for each in bought), ZERO)
    return ReturnBoxes(
        box_1=vat,
        box_6=sum((each.gross for each in sold), ZERO) - vat,
        box_7=paid - off,
    )
