"""Reverses a purchase that was entered wrongly, by a row of its own."""

from __future__ import annotations

from django.db import transaction
from django.utils import timezone

from quotes.buyin.models import MarginCheck
from quotes.buyin.verbs.undecide import undecide
from quotes.sales.errors import SalesError
from quotes.sales.models import Purchase, Reversal
from quotes.sales.pooling import pooled_off
from quotes.sales.selectors.reversing import reasons_not_to_reverse
from workshop.bikes.models import Bike
from workshop.people.models import User


@transaction.atomic
def reverse_purchase(purchase: Purchase, *, reason: str, still_bought: bool, by: User) -> Reversal:
    """Return what reverses the purchase, as of today; what was entered stays to be read.

    With ``still_bought`` the bike stays where it is and waits to be entered anew. Else the
    decision to buy is open again, and the bike stands where it stood before it.

    Raises:
        SalesError: it was reversed before, a sale or work hangs on it, or no reason is given.
    """
    bike = Bike.objects.select_for_update().get(pk=purchase.bike_id)
    reasons = reasons_not_to_reverse(purchase)
    if not reason.strip():
        reasons.append("Say what was entered wrongly.")
    if reasons:
        raise SalesError(*reasons)
    made = Reversal.objects.create(
        purchase=purchase,
        reversed_on=timezone.localdate(),
        reason=reason.strip(),
        still_bought=still_bought,
        pool_entry=pooled_off(purchase, f"purchase {purchase} reversed", by=by),
        by=by,
    )
    if not still_bought:
        check = MarginCheck.objects.get(pk=purchase.check_made_id)
        undecide(check, bike, note=f"Purchase {purchase} reversed: {reason.strip()}", by=by)
    return made
