"""Reading suppliers and their articles."""

from __future__ import annotations

from django.db.models import Count, Q, QuerySet

from inventory.parts.models import Part
from inventory.search.selectors import parts_found
from inventory.suppliers.models import Supplier, SupplierPart

CURRENT = Q(valid_until__isnull=True)
PARTS_OFFERED = 30


def suppliers_for_list() -> QuerySet[Supplier]:
    """Return suppliers with how many articles each sells (``sells``) and how many are matched."""
    holds = Q(articles__valid_until__isnull=True)
    return Supplier.objects.annotate(
        sells=Count("articles", filter=holds),
        matched=Count("articles", filter=holds & Q(articles__part__isnull=False)),
    )


def articles_of(supplier: Supplier) -> QuerySet[SupplierPart]:
    """Return the articles whose price holds, with our parts."""
    return supplier.articles.filter(CURRENT).select_related("part")


def prices_before(article: SupplierPart) -> QuerySet[SupplierPart]:
    """Return every price an article has had, newest first."""
    rows = SupplierPart.objects.filter(supplier_id=article.supplier_id, code=article.code)
    return rows.select_related("price_list").order_by("-valid_from", "-pk")


def parts_like(text: str) -> QuerySet[Part]:
    """Return parts in use that the words find."""
    found = parts_found(Part.objects.filter(active=True), text)
    return found.order_by("name")[:PARTS_OFFERED]
