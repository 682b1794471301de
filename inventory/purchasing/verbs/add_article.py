"""Adds an article to a draft, also one that is not short."""

from __future__ import annotations

from django.db import transaction

from inventory.purchasing.errors import PurchaseError
from inventory.purchasing.locking import locked, locked_draft
from inventory.purchasing.models import PurchaseLine, PurchaseOrder
from inventory.purchasing.offers import offer_of
from inventory.purchasing.verbs.make_drafts import Pick, add_line
from inventory.suppliers.models import SupplierPart


@transaction.atomic
def add_article(
    order: PurchaseOrder, article: SupplierPart, *, packs: int, key: str
) -> PurchaseLine:
    """Return the line. The same ``key`` again adds nothing.

    Raises:
        PurchaseError: the order was sent, the article is another supplier's, not matched, no
            longer sold at this price or in the draft already, or so many packs can't be ordered.
    """
    locked(order)
    before = PurchaseLine.objects.filter(key=key, order=order).first()
    if before is not None:
        return before
    draft = locked_draft(order)
    if article.supplier_id != draft.supplier_id or article.valid_until is not None:
        raise PurchaseError(f"{draft.supplier} does not sell {article} at this price.")
    if draft.lines.filter(article=article).exists():
        raise PurchaseError(f"{article.name} stands in this draft already. Change its packs there.")
    if article.part is None:
        raise PurchaseError(f"{article} is not matched with a part of ours. Match it first.")
    return add_line(draft, Pick(article.part, offer_of(article), packs), key)
