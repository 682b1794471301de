"""Matches a supplier's article with one of our parts."""

from __future__ import annotations

from django.db import transaction
from django.db.models import F

from inventory.parts.models import Part
from inventory.suppliers.models import Supplier, SupplierPart


class NoLongerSoldError(Exception):
    """Raised where the row of an article no longer holds."""

    def __init__(self, article: SupplierPart) -> None:
        super().__init__(
            f"The price of {article.code} that you looked at no longer holds. Open it from the "
            "list."
        )


@transaction.atomic
def match(article: SupplierPart, part: Part | None) -> SupplierPart:
    """Return the article, matched with the part; None takes the match away.

    Raises:
        NoLongerSoldError: another price of it holds by now.
    """
    Supplier.objects.filter(pk=article.supplier_id).update(version=F("version") + 1)
    kept = SupplierPart.objects.select_for_update().get(pk=article.pk)
    if kept.valid_until is not None:
        raise NoLongerSoldError(kept)
    kept.part = part
    kept.save(update_fields=["part"])
    return kept
