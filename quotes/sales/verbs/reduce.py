"""Pays part of a price back after a sale, by a credit note: the bike stays sold."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from decimal import Decimal

from django.db import transaction
from django.utils import timezone

from inventory.core.money import ZERO, format_money, quantise
from inventory.numbering.verbs.next_number import next_number
from inventory.paper.ahead import printed_ahead
from quotes.core.margin import Scheme
from quotes.core.stockbook import vat_less
from quotes.resale.verbs.own_sale import reprice_own_sale
from quotes.sales.errors import SalesError
from quotes.sales.models import CreditNote, Line, Reduction, Sale
from quotes.sales.papers import keep_reduction
from quotes.sales.pooling import pooled_less
from quotes.sales.selectors.left import BIKE
from workshop.bikes.models import Bike
from workshop.people.models import User
from workshop.shop.models import Shop


@dataclass(frozen=True, slots=True)
class PaidBack:
    """What is entered: how much of which line is paid back, gross, when and why."""

    line: Line
    amount: Decimal
    reduced_on: dt.date
    reason: str


@printed_ahead
@transaction.atomic
def reduce_price(sale: Sale, paid: PaidBack, *, by: User, shop: Shop) -> Reduction:
    """Return the credit note for part of a sale, made and kept.

    The VAT follows the line: under the margin scheme the selling price falls, in the pool the
    sales of the period, under ordinary VAT what lies in the amount. The comparable of the sale
    stands at what is left.

    Raises:
        SalesError: it was taken back whole, more is paid back than is left, the day does not fit,
            no reason is given, or the pool refuses.
    """
    bike = Bike.objects.select_for_update().get(pk=sale.purchase.bike_id)
    sale = Sale.objects.select_related("purchase", "pool_entry").get(pk=sale.pk)
    amount = quantise(paid.amount, shop.currency)
    before = _left_of(paid.line)
    _refuse(sale, paid, amount, before, shop)
    of_bike = paid.line.position == BIKE
    entry = pooled_less(sale, amount, paid.reduced_on, by=by, shop=shop) if of_bike else None
    made = Reduction.objects.create(
        number=next_number("credit note", "CN", 4),
        sale=sale,
        line=paid.line,
        reduced_on=paid.reduced_on,
        reason=paid.reason.strip(),
        amount=amount,
        vat=_vat_less(sale, paid.line, before, before - amount, shop),
        left=before - amount,
        pool_entry=entry,
        by=by,
    )
    keep_reduction(made, bike, shop)
    if of_bike:
        reprice_own_sale(sale.number, made.left, by)
    return made


def _left_of(line: Line) -> Decimal:
    """Return what is left of a line before anything more is paid back of it."""
    last = Reduction.objects.filter(line=line).order_by("-pk").first()
    left: Decimal = last.left if last else line.gross
    return left


def _vat_less(sale: Sale, line: Line, before: Decimal, after: Decimal, shop: Shop) -> Decimal:
    """Return the VAT that falls away with a line's price."""
    if line.position == BIKE:
        return vat_less(
            Scheme(sale.scheme),
            before,
            after,
            sale.purchase.price,
            sale.vat_rate,
            shop.currency,
            pooled=sale.is_pooled,
        )
    scheme = Scheme.NONE if line.vat_rate is None else Scheme.ORDINARY
    return vat_less(scheme, before, after, ZERO, line.vat_rate or ZERO, shop.currency)


def _refuse(sale: Sale, paid: PaidBack, amount: Decimal, left: Decimal, shop: Shop) -> None:
    """Raise where nothing can be paid back, or not so much, or not on that day."""
    if CreditNote.objects.filter(sale=sale).exists():
        raise SalesError(f"{sale} was taken back: all of it is paid back already.")
    if paid.line.sale_id != sale.pk:
        raise SalesError("That line stands on another invoice.")
    reasons = []
    if amount <= 0:
        reasons.append("Write how much is paid back, above zero.")
    if amount > left:
        most = format_money(left, shop.currency, shop.locale)
        reasons.append(f"No more than {most} is left of what was paid for it.")
    if not since_last(sale) <= paid.reduced_on <= timezone.localdate():
        reasons.append(
            "The day lies between the sale, or what was last paid back of it, and today."
        )
    if not paid.reason.strip():
        reasons.append("Say why it is paid back.")
    if reasons:
        raise SalesError(*reasons)


def since_last(sale: Sale) -> dt.date:
    """Return the day of the sale, or that on which part of it was last paid back."""
    days = Reduction.objects.filter(sale=sale).values_list("reduced_on", flat=True)
    return max([sale.sold_on, *days])
