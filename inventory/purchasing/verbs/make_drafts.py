"""Puts what was picked into drafts, one a supplier."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.contrib.auth.base_user import AbstractBaseUser
from django.db import transaction

from inventory.parts.models import Part
from inventory.purchasing.errors import PurchaseError
from inventory.purchasing.models import MOST_PACKS, PurchaseLine, PurchaseOrder, State
from inventory.purchasing.offers import Offer
from inventory.suppliers.models import Supplier


@dataclass(frozen=True, slots=True)
class Pick:
    """A part, from whom it is bought, and how many packs."""

    part: Part
    offer: Offer
    packs: int


@transaction.atomic
def make_drafts(picks: Sequence[Pick], *, by: AbstractBaseUser, key: str) -> list[PurchaseOrder]:
    """Return the drafts in which the picks stand by now; a supplier's open draft is added to.

    The same ``key`` again adds nothing, and returns the orders in which the picks stand.

    Raises:
        PurchaseError: nothing was picked, or a number of packs is none that can be ordered.
    """
    if not picks:
        raise PurchaseError("Nothing is ticked. Tick what is to be ordered.")
    _lock(pick.offer.supplier for pick in picks)
    orders: dict[int, PurchaseOrder] = {}
    for pick in sorted(picks, key=lambda each: each.offer.supplier.pk):
        line_key = f"{key}:{pick.part.pk}"
        line = PurchaseLine.objects.filter(key=line_key).select_related("order__supplier").first()
        order = line.order if line else draft_for(pick.offer.supplier, by)
        if line is None:
            add_line(order, pick, line_key)
        orders[order.pk] = order
    return list(orders.values())


def _lock(suppliers: Iterable[Supplier]) -> None:
    """Hold suppliers until the transaction ends: two at once make one draft, and each line once."""
    keys = {supplier.pk for supplier in suppliers}
    list(Supplier.objects.select_for_update().filter(pk__in=keys).order_by("pk"))


def draft_for(supplier: Supplier, by: AbstractBaseUser) -> PurchaseOrder:
    """Return the draft of a supplier that is held, locked; a new one where there is none."""
    drafts = PurchaseOrder.objects.select_for_update(of=("self",)).select_related("supplier")
    found = drafts.filter(supplier=supplier, state=State.DRAFT).first()
    if found is not None:
        return found
    return PurchaseOrder.objects.create(
        supplier=supplier, currency=supplier.currency, made_by_id=by.pk
    )


def add_line(order: PurchaseOrder, pick: Pick, key: str) -> PurchaseLine:
    """Add a line to a locked draft.

    Raises:
        PurchaseError: the number of packs is none that can be ordered.
    """
    if not 1 <= pick.packs <= MOST_PACKS:
        raise PurchaseError(
            f"{pick.part.name}: {pick.packs} packs can't be ordered. "
            f"Write a number from 1 to {MOST_PACKS}."
        )
    return PurchaseLine.objects.create(
        order=order,
        part=pick.part,
        article=pick.offer.article,
        code=pick.offer.code,
        name=pick.offer.name,
        pack=pick.offer.pack,
        packs=pick.packs,
        pack_cost_net=pick.offer.pack_cost_net,
        key=key,
    )
