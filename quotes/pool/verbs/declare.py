"""Keeps a period as it was declared; nothing is entered into it afterwards."""

from __future__ import annotations

import datetime as dt

from django.db import transaction
from django.utils import timezone

from inventory.parts.models import VatCode
from quotes.pool.models import PoolReturn
from quotes.pool.selectors import pool_page
from quotes.pool.verbs.locking import PoolError, locked
from workshop.people.models import User
from workshop.shop.models import Shop
from workshop.shop.selectors import vat_rates_on


@transaction.atomic
def declare(starts_on: dt.date, *, by: User, shop: Shop) -> PoolReturn:
    """Return the period that begins on a day, kept with its figures as they are now.

    Raises:
        PoolError: there is no such period, it is declared, has not ended, follows one that is
            still open, or no rate of VAT is known for it.
    """
    pool = locked()
    view = pool_page(pool, shop, timezone.localdate()).period_from(starts_on)
    if view is None:
        raise PoolError("There is no period that begins on that day.")
    if view.declared:
        raise PoolError("This period has been declared already.")
    if not view.next_to_declare:
        raise PoolError(
            "This period has not ended yet."
            if view.running
            else "An earlier period is still open. Declare that one first."
        )
    if VatCode.STANDARD not in vat_rates_on(view.period.ends_on):
        raise PoolError(
            "The catalogue has no standard rate of VAT in force on the period’s last day. "
            "Enter it first: what is declared stays."
        )
    result = view.result
    row = PoolReturn(
        starts_on=view.period.starts_on,
        ends_on=view.period.ends_on,
        rate=result.moves.rate,
        sales=result.sold,
        purchases=result.moves.purchases,
        margin=result.period.margin_gross,
        vat=result.period.vat,
        carried=result.period.carried,
        by=by,
    )
    row.save()
    return row
