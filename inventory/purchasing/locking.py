"""What the verbs of this room share: the order locked, and its state by what has come."""

from __future__ import annotations

from django.contrib.auth.base_user import AbstractBaseUser
from django.utils import timezone

from inventory.purchasing.errors import PurchaseError
from inventory.purchasing.models import PurchaseOrder, State
from inventory.purchasing.standing import came_of, to_come

ENDING = ("state", "closed_at", "closed_by", "close_reason")


def locked(order: PurchaseOrder) -> PurchaseOrder:
    """Return the order as it is now, locked until the transaction ends."""
    return PurchaseOrder.objects.select_for_update().get(pk=order.pk)


def locked_draft(order: PurchaseOrder) -> PurchaseOrder:
    """Return a draft, locked.

    Raises:
        PurchaseError: it has been sent.
    """
    fresh = locked(order)
    if not fresh.is_draft:
        raise PurchaseError(f"{fresh.number} has been ordered and stays as it is. Make another.")
    return fresh


def locked_open(order: PurchaseOrder) -> PurchaseOrder:
    """Return an order of which goods are to come, locked.

    Raises:
        PurchaseError: it was not sent, or is closed or cancelled.
    """
    fresh = locked(order)
    if not fresh.is_open:
        raise PurchaseError(f"{fresh} is {fresh.get_state_display()}: nothing comes in for it.")
    return fresh


def brought_up_to_date(order: PurchaseOrder, by: AbstractBaseUser) -> PurchaseOrder:
    """Give a locked order the state that follows from what has come of it."""
    lines = list(order.lines.all())
    came = came_of(lines)
    if not any(to_come(line, came[line.pk]) for line in lines):
        order.state, order.closed_at, order.closed_by_id = State.CLOSED, timezone.now(), by.pk
    else:
        order.state = State.PART_DELIVERED if any(came.values()) else State.ORDERED
        order.closed_at = order.closed_by_id = None
    order.save(update_fields=ENDING)
    return order
