"""Orders: freezes a draft, numbers it, and keeps its PDF."""

from __future__ import annotations

import hashlib

from django.contrib.auth.base_user import AbstractBaseUser
from django.db import transaction
from django.utils import timezone

from inventory.core import workdays
from inventory.numbering.verbs.next_number import next_number
from inventory.paper.ahead import printed_ahead
from inventory.purchasing.errors import PurchaseError
from inventory.purchasing.locking import locked, locked_draft
from inventory.purchasing.models import OrderDocument, PurchaseOrder, State
from inventory.purchasing.paper import ShopOnPaper, order_pdf
from inventory.purchasing.selectors import order_page


@printed_ahead
@transaction.atomic
def place(order: PurchaseOrder, *, by: AbstractBaseUser, shop: ShopOnPaper) -> PurchaseOrder:
    """Return the order with its number; one that is ordered already is returned as it is.

    Raises:
        PurchaseError: nothing stands in it.
    """
    if not locked(order).is_draft:
        return locked(order)
    draft = locked_draft(order)
    page = order_page(draft)
    if not page.rows:
        raise PurchaseError("Nothing stands in this draft. Add something, or discard it.")
    supplier = draft.supplier
    draft.carriage_net = None if page.to_free_carriage == 0 else supplier.carriage_net
    draft.supplier_name, draft.own_number = supplier.name, supplier.own_number
    draft.terms = supplier.terms
    draft.number = next_number("purchase order", "P", 4)
    draft.state, draft.ordered_at, draft.ordered_by_id = State.ORDERED, timezone.now(), by.pk
    if supplier.lead_days is not None:
        draft.expected_on = workdays.after(timezone.localdate(), supplier.lead_days)
    draft.save()
    pdf = order_pdf(order_page(draft), shop)
    OrderDocument.objects.create(order=draft, pdf=pdf, sha256=hashlib.sha256(pdf).hexdigest())
    return draft
