"""Sells a bike out of stock: the sale, its lines, its invoice, the pool and the comparable."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.db import transaction
from django.utils import timezone

from inventory.core.money import ZERO, quantise
from inventory.numbering.verbs.next_number import next_number
from inventory.paper.ahead import printed_ahead
from quotes.core.margin import Scheme
from quotes.core.stockbook import bike_sold, scheme_sold
from quotes.core.vat import vat_in
from quotes.resale.models import Grade
from quotes.resale.verbs.own_sale import OwnSale, note_own_sale
from quotes.sales.errors import SalesError
from quotes.sales.models import Line, Party, Purchase, Sale
from quotes.sales.papers import keep_invoice
from quotes.sales.pooling import pooled_out
from quotes.sales.rates import standard_rate
from quotes.sales.selectors.book import reversal_of
from quotes.sales.selectors.standing import reasons_not_to_sell, since, standing_sale
from quotes.sales.wording import legend
from workshop.bikes.models import Bike, Stage
from workshop.bikes.verbs.owners import hand_over
from workshop.bikes.verbs.stages import move_to
from workshop.customers.models import Customer
from workshop.people.models import User
from workshop.shop.models import Shop


@dataclass(frozen=True, slots=True)
class Extra:
    """Something new sold along with a bike, under ordinary VAT; ``gross`` as paid."""

    description: str
    gross: Decimal


@dataclass(frozen=True, slots=True)
class Sold:
    """What is entered of a sale; ``price`` is the bike's, gross.

    Without ``fees_net`` the selling fees follow the shop's rule. ``condition`` is the grade it is
    sold in, for the comparables. ``customer`` is the buyer's record, one that is not saved yet is
    saved with the sale: the bike is theirs from then on. Without one only the book names them.
    """

    sold_on: dt.date
    price: Decimal
    buyer_name: str
    buyer_address: str
    payment: str
    channel: str
    warranty_months: int = 0
    fees_net: Decimal | None = None
    extras: Sequence[Extra] = ()
    condition: Grade = Grade.GOOD
    customer: Customer | None = None


@printed_ahead
@transaction.atomic
def sell(purchase: Purchase, sold: Sold, *, by: User, shop: Shop) -> Sale:
    """Return the sale, with its invoice made and kept; the bike is “sold”.

    Raises:
        SalesError: the bike is sold, in work, not released or unsafe, or something is missing.
    """
    bike = Bike.objects.select_for_update().get(pk=purchase.bike_id)
    purchase = Purchase.objects.get(pk=purchase.pk)
    _refuse(purchase, bike, sold)
    rate = standard_rate(sold.sold_on) if shop.vat_registered else ZERO
    scheme = scheme_sold(
        Scheme(purchase.scheme), registered=shop.vat_registered, vat_shown=purchase.vat_shown
    )
    _refuse_nameless(scheme, sold)
    words = legend(scheme, sold.sold_on, shop.country)
    price = quantise(sold.price, shop.currency)
    entry = pooled_out(purchase, price, sold.sold_on, by=by, shop=shop)
    figures = bike_sold(
        scheme, price, purchase.price, rate, shop.currency, pooled=entry is not None
    )
    lines = [_bike_line(purchase, price, scheme, rate, figures.vat)]
    lines += [_extra_line(each, rate, shop, scheme) for each in sold.extras]
    sale = Sale.objects.create(
        number=next_number("invoice", "SI", 4),
        purchase=purchase,
        turn=purchase.sales.count() + 1,
        sold_on=sold.sold_on,
        price=price,
        total=sum((line.gross for line in lines), ZERO),
        scheme=scheme.value,
        vat_rate=ZERO if scheme is Scheme.NONE else rate,
        margin=figures.margin,
        vat=figures.vat,
        legend=words,
        channel=sold.channel,
        fees_net=_fees(sold, price, shop),
        warranty_months=sold.warranty_months,
        payment=sold.payment,
        pool_entry=entry,
        by=by,
    )
    Party.objects.create(
        sale=sale, name=sold.buyer_name.strip(), address=sold.buyer_address.strip()
    )
    for position, line in enumerate(lines, start=1):
        line.sale, line.position = sale, position
        line.save()
    keep_invoice(sale, shop)
    note_own_sale(_comparable(sale, bike, sold, by))
    if sold.customer is not None:
        hand_over(bike, sold.customer)
    move_to(bike, Stage.SOLD)
    return sale


def _refuse(purchase: Purchase, bike: Bike, sold: Sold) -> None:
    """Raise where the bike can't be sold, or something is missing."""
    if reversal_of(purchase) is not None:
        raise SalesError(f"{purchase} was reversed: sell the bike from the row that stands for it.")
    if standing_sale(purchase) is not None:
        raise SalesError(f"{bike} is sold already. To sell it again, take that sale back first.")
    reasons = reasons_not_to_sell(bike)
    if sold.sold_on > timezone.localdate():
        reasons.append("The day of the sale has not come yet.")
    if sold.sold_on < since(purchase):
        reasons.append("The bike was not here yet on that day. Choose a later one.")
    if sold.price <= 0:
        reasons.append("Write the price, above zero.")
    if not sold.buyer_name.strip():
        reasons.append("The stock book needs the buyer’s name.")
    if any(each.gross < 0 or not each.description.strip() for each in sold.extras):
        reasons.append("What is sold along needs a name and a price that is not below zero.")
    if reasons:
        raise SalesError(*reasons)


def _refuse_nameless(scheme: Scheme, sold: Sold) -> None:
    """Raise where an invoice under the margin scheme would not say where its buyer lives.

    Source: gov.uk, "VAT margin schemes: keeping records"; Directive 2006/112/EC art. 226(5).
    """
    if scheme is Scheme.MARGIN and not sold.buyer_address.strip():
        raise SalesError("An invoice under the margin scheme needs the buyer’s address. Write it.")


def _bike_line(
    purchase: Purchase, price: Decimal, scheme: Scheme, rate: Decimal, vat: Decimal
) -> Line:
    """Return the bike's line; under the margin scheme no VAT is shown."""
    ordinary = scheme is Scheme.ORDINARY
    return Line(
        description=f"{purchase.description}. Frame number {purchase.frame_number}"[:300],
        vat_rate=rate if ordinary else None,
        vat=vat if ordinary else ZERO,
        gross=price,
    )


def _extra_line(extra: Extra, rate: Decimal, shop: Shop, scheme: Scheme) -> Line:
    """Return the line of something new, sold under ordinary VAT."""
    gross = quantise(extra.gross, shop.currency)
    none = scheme is Scheme.NONE
    return Line(
        description=extra.description.strip(),
        vat_rate=None if none else rate,
        vat=ZERO if none else quantise(vat_in(gross, rate), shop.currency),
        gross=gross,
    )


def _fees(sold: Sold, price: Decimal, shop: Shop) -> Decimal:
    """Return the selling fees, by the shop's rule where none are given."""
    if sold.fees_net is not None:
        return quantise(sold.fees_net, shop.currency)
    return quantise(price * shop.selling_fee_share + shop.selling_fee_net, shop.currency)


def _comparable(sale: Sale, bike: Bike, sold: Sold, by: User) -> OwnSale:
    """Return the sale as the comparables keep it."""
    return OwnSale(
        number=sale.number,
        bike=bike,
        price=sale.price,
        sold_on=sale.sold_on,
        days_on_shelf=(sale.sold_on - since(sale.purchase)).days,
        condition=sold.condition,
        by=by,
    )
