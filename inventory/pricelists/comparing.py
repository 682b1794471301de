"""How the articles of a list differ from the prices that hold."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from django.db.models import Exists, OuterRef, QuerySet

from inventory.pricelists.models import Difference, Incoming, Problem, ReadRow
from inventory.pricelists.rowreading import Article, Wrong
from inventory.suppliers.models import SupplierPart


def difference(article: Article, was: SupplierPart | None, jump: Decimal) -> Difference:
    """Return how an article differs from what held; costs are compared by the piece.

    ``jump`` is the share of the old cost beyond which a difference is suspicious.
    """
    if was is None:
        return Difference.NEW
    old, new = was.cost_net * article.pack, article.cost_net * was.pack
    if abs(new - old) > old * jump:
        return Difference.JUMP
    if new != old:
        return Difference.DEARER if new > old else Difference.CHEAPER
    same = (
        article.name == was.name
        and article.gtin == was.gtin
        and article.pack == was.pack
        and article.list_price_net == was.list_price_net
        and article.discount == was.discount
    )
    return Difference.SAME if same else Difference.OTHERWISE


def compared(incoming: Incoming, articles: Sequence[Article]) -> tuple[list[ReadRow], list[Wrong]]:
    """Return the rows of a list's next articles, and those whose code stood before; two queries."""
    codes = [each.code for each in articles]
    holding = SupplierPart.objects.filter(
        supplier_id=incoming.supplier_id, valid_until__isnull=True, code__in=codes
    )
    was = {each.code: each for each in holding}
    before = dict(incoming.rows.filter(code__in=codes).values_list("code", "number"))
    rows, twice = [], []
    for each in articles:
        if each.code in before:
            message = f"This code stands in row {before[each.code]} already. Delete one of them."
            twice.append(Wrong(each.number, "", each.code, message, each.code))
            continue
        before[each.code] = each.number
        old = was.get(each.code)
        rows.append(
            ReadRow(
                incoming=incoming,
                number=each.number,
                code=each.code,
                gtin=each.gtin,
                name=each.name,
                pack=each.pack,
                list_price_net=each.list_price_net,
                discount=each.discount,
                cost_net=each.cost_net,
                difference=difference(each, old, incoming.jump_share),
                was=old,
            )
        )
    return rows, twice


def vanished_from(incoming: Incoming) -> QuerySet[SupplierPart]:
    """Return the articles that hold and are not in the list, not even in a row that is wrong."""
    mine = {"incoming": incoming.pk, "code": OuterRef("code")}
    return SupplierPart.objects.filter(
        ~Exists(ReadRow.objects.filter(**mine)),
        ~Exists(Problem.objects.filter(**mine)),
        supplier_id=incoming.supplier_id,
        valid_until__isnull=True,
    )
