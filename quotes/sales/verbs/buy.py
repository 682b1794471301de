"""Enters a bike that was bought into the stock book, with the receipt its seller signs."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from decimal import Decimal

from django.db import transaction
from django.utils import timezone

from inventory.core.money import ZERO, quantise
from inventory.numbering.verbs.next_number import next_number
from inventory.paper.ahead import printed_ahead
from quotes.buyin.models import Decision, MarginCheck
from quotes.core.margin import Scheme
from quotes.core.stockbook import input_vat, scheme_bought
from quotes.provenance.models import ProvenanceCheck, State
from quotes.provenance.selectors import checks_of, reasons_against
from quotes.sales.errors import SalesError
from quotes.sales.models import Party, Purchase
from quotes.sales.papers import keep_receipt
from quotes.sales.pooling import pooled_in
from quotes.sales.rates import standard_rate
from quotes.sales.selectors.standing import stock_of
from workshop.bikes.models import Bike, Stage
from workshop.people.models import User
from workshop.shop.models import Shop


@dataclass(frozen=True, slots=True)
class Bought:
    """What is entered of a purchase; ``price`` is gross, as paid.

    ``seller_invoice`` is the number of the seller's invoice, where they make one; ``vat_shown``
    says that VAT stands on it. ``pooled`` puts the bike into global accounting.
    ``unchecked_reason`` says why a bike is bought whose provenance has not been passed.
    """

    bought_on: dt.date
    price: Decimal
    seller_name: str
    seller_address: str
    payment: str
    seller_invoice: str = ""
    vat_shown: bool = False
    pooled: bool = False
    unchecked_reason: str = ""


@printed_ahead
@transaction.atomic
def buy(check: MarginCheck, bought: Bought, *, by: User, shop: Shop) -> Purchase:
    """Return the new row of the stock book; the receipt is made and kept with it.

    Raises:
        SalesError: it was not decided to buy, the bike stands in stock already, its provenance
            was refused, or something needed for the book is missing.
    """
    bike = Bike.objects.select_for_update().get(pk=check.bike_id)
    check = MarginCheck.objects.get(pk=check.pk)
    provenance = checks_of(bike).first()
    _refuse(check, bike, bought)
    _refuse_provenance(provenance, bike, bought)
    rate = standard_rate(bought.bought_on) if bought.vat_shown else ZERO
    price = quantise(bought.price, shop.currency)
    registered = shop.vat_registered
    scheme = scheme_bought(
        Scheme(shop.resale_scheme), registered=registered, vat_shown=bought.vat_shown
    )
    if bought.pooled and scheme is not Scheme.MARGIN:
        raise SalesError("Only a bike under the margin scheme can be pooled.")
    invoice = bought.seller_invoice.strip()
    purchase = Purchase.objects.create(
        number=next_number("stock book", "S", 4),
        bike=bike,
        check_made=check,
        provenance=provenance,
        unchecked_reason=bought.unchecked_reason.strip(),
        bought_on=bought.bought_on,
        receipt_no=None if invoice else next_number("purchase receipt", "PR", 4),
        seller_invoice=invoice,
        price=price,
        vat_shown=bought.vat_shown,
        vat_rate=rate,
        input_vat=input_vat(
            price, rate, shop.currency, registered=registered, vat_shown=bought.vat_shown
        ),
        scheme=scheme.value,
        payment=bought.payment,
        description=described(bike),
        frame_number=bike.frame_number or f"none: {bike.frame_number_missing}",
        pool_entry=pooled_in(bike, price, bought.bought_on, by=by, shop=shop)
        if bought.pooled
        else None,
        by=by,
    )
    Party.objects.create(
        purchase=purchase, name=bought.seller_name.strip(), address=bought.seller_address.strip()
    )
    if not invoice:
        keep_receipt(purchase, shop)
    return purchase


def described(bike: Bike) -> str:
    """Return a bike as the book describes it: make, model, year, colour, kind."""
    year = str(bike.maker_year) if bike.maker_year else "year not known"
    kind = "folding bike" if bike.frame == "folding" else "bike"
    parts = (f"{bike.make} {bike.model}".strip(), kind, year, bike.colour)
    return ", ".join(filter(None, parts))[:240]


def _refuse(check: MarginCheck, bike: Bike, bought: Bought) -> None:
    """Raise where the bike was not bought, is here already, or the book would have a gap."""
    if check.decision != Decision.BUY or bike.stage == Stage.LEFT:
        raise SalesError("It was not decided to buy this bike. Decide on its margin check first.")
    entered = Purchase.objects.filter(check_made=check, reversal__isnull=True)
    if entered.exists() or stock_of(bike):
        raise SalesError(f"{bike} stands in the stock book already.")
    reasons = []
    if bought.bought_on > timezone.localdate():
        reasons.append("The day of the purchase has not come yet.")
    if bought.price < 0:
        reasons.append("A price can't be below zero.")
    if not (bought.seller_name.strip() and bought.seller_address.strip()):
        reasons.append("The stock book needs the seller’s name and address.")
    if bought.vat_shown and not bought.seller_invoice.strip():
        reasons.append("VAT is shown on an invoice: write the number of the seller’s invoice.")
    if reasons:
        raise SalesError(*reasons)


def _refuse_provenance(check: ProvenanceCheck | None, bike: Bike, bought: Bought) -> None:
    """Raise where the provenance was refused, or not passed and nothing says why."""
    against = reasons_against(check, bike)
    if check is not None and check.state == State.REFUSED:
        raise SalesError(*against)
    if against and not bought.unchecked_reason.strip():
        raise SalesError(*against, "Finish the provenance check, or say why it is bought anyway.")
