"""Takes a sale back: a credit note over what is left of it, and the bike stands in stock again."""

from __future__ import annotations

import datetime as dt

from django.db import transaction
from django.utils import timezone

from inventory.numbering.verbs.next_number import next_number
from inventory.paper.ahead import printed_ahead
from quotes.resale.verbs.own_sale import forget_own_sale
from quotes.sales.errors import SalesError
from quotes.sales.models import CreditNote, Sale
from quotes.sales.papers import keep_credit_note
from quotes.sales.pooling import pooled_back
from quotes.sales.verbs.reduce import since_last
from workshop.bikes.models import Bike, Stage
from workshop.bikes.verbs.owners import hand_back
from workshop.bikes.verbs.stages import move_to
from workshop.people.models import User
from workshop.shop.models import Shop


@printed_ahead
@transaction.atomic
def take_back(
    sale: Sale, *, returned_on: dt.date, reason: str, to_bench: bool, by: User, shop: Shop
) -> CreditNote:
    """Return the credit note, made and kept: what was paid back of it before is not paid again.

    With ``to_bench`` the bike must be released anew before it is sold; else it is as it left. The
    price is no comparable any more.

    Raises:
        SalesError: it was taken back before, has no reason, or the day does not fit.
    """
    bike = Bike.objects.select_for_update().get(pk=sale.purchase.bike_id)
    if CreditNote.objects.filter(sale=sale).exists():
        raise SalesError(f"{sale} was taken back already.")
    reasons = []
    if not reason.strip():
        reasons.append("Say why it is taken back.")
    if not since_last(sale) <= returned_on <= timezone.localdate():
        reasons.append(
            "The day lies between the sale and today, and not before what was paid back of it."
        )
    if reasons:
        raise SalesError(*reasons)
    note = CreditNote.objects.create(
        number=next_number("credit note", "CN", 4),
        sale=sale,
        returned_on=returned_on,
        reason=reason.strip(),
        to_bench=to_bench,
        pool_entry=pooled_back(sale, f"credit note for {sale}", by=by),
        by=by,
    )
    keep_credit_note(note, shop)
    forget_own_sale(sale.number)
    hand_back(bike, sale.at)
    if bike.stage == Stage.SOLD:
        move_to(bike, Stage.BOUGHT if to_bench else Stage.RELEASED)
    return note
