"""Changes a draft: packs, prices and the note; what is set to no packs is taken out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.db import transaction

from inventory.purchasing.errors import PurchaseError
from inventory.purchasing.locking import locked_draft
from inventory.purchasing.models import MOST_PACKS, PurchaseLine, PurchaseOrder


@dataclass(frozen=True, slots=True)
class LineChange:
    """What a line is to be: ``packs`` 0 takes it out; None leaves the price of a pack as it is."""

    line: PurchaseLine
    packs: int
    pack_cost_net: Decimal | None = None


@transaction.atomic
def change_draft(
    order: PurchaseOrder, changes: Sequence[LineChange], *, note: str
) -> PurchaseOrder:
    """Return the changed draft.

    Raises:
        PurchaseError: it was sent, a line is not its own, or a number or price can't be.
    """
    draft = locked_draft(order)
    lines = {line.pk: line for line in draft.lines.all()}
    for change in changes:
        line = lines.get(change.line.pk)
        if line is None:
            raise PurchaseError(f"{change.line} no longer stands in this draft. Load it anew.")
        if not change.packs:
            line.delete()
            continue
        price = line.pack_cost_net if change.pack_cost_net is None else change.pack_cost_net
        if not 0 < change.packs <= MOST_PACKS or price < 0:
            raise PurchaseError(f"{line.name}: write packs from 0 to {MOST_PACKS}, a price from 0.")
        line.packs, line.pack_cost_net = change.packs, price
        line.save(update_fields=["packs", "pack_cost_net"])
    draft.note = note.strip()
    draft.save(update_fields=["note"])
    return draft
