"""The list of the shop's bikes, in stock and sold; and one of them with all that is kept."""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import F, OuterRef, Prefetch, QuerySet, Subquery
from django.db.models.functions import Coalesce

from quotes.sales.models import Line, Party, Purchase, Reduction, Reversal, Sale
from quotes.sales.selectors.left import BIKE, left_of, with_reductions
from quotes.sales.selectors.standing import reasons_not_to_sell

SEARCHED = (
    "number",
    "bike__stock_no",
    "description",
    "frame_number",
    "bike__frame_key",
    "sales__number",
    "sales__buyer__name",
)


def rows_for_list() -> QuerySet[Purchase]:
    """Return all purchases with ``sold_on`` and ``sold_for`` of the sale that holds, one query.

    What was paid back of its price is off. ``reversed_on`` is set where the purchase was reversed.
    """
    standing = Sale.objects.filter(purchase=OuterRef("pk"), credit_note__isnull=True)
    reduced = Reduction.objects.filter(
        sale__purchase=OuterRef("pk"), sale__credit_note__isnull=True, line__position=BIKE
    ).order_by("-pk")
    return (
        Purchase.objects.select_related("bike")
        .annotate(
            sold_on=Subquery(standing.values("sold_on")[:1]),
            sold_for=Coalesce(
                Subquery(reduced.values("left")[:1]), Subquery(standing.values("price")[:1])
            ),
            reversed_on=F("reversal__reversed_on"),
        )
        .order_by("-pk")
    )


@dataclass(frozen=True, slots=True)
class RowPage:
    """A row of the book: its purchase, its sales in their order, and what forbids a sale now."""

    purchase: Purchase
    seller: Party | None
    sales: tuple[Sale, ...]
    reasons: tuple[str, ...]
    reversal: Reversal | None = None

    @property
    def standing(self) -> Sale | None:
        """Return the sale that holds."""
        last = self.sales[-1] if self.sales else None
        return None if last is None or hasattr(last, "credit_note") else last

    @property
    def may_be_reduced(self) -> bool:
        """Tell whether something is left that could be paid back of the sale that holds."""
        return self.standing is not None and left_of(self.standing).total > 0

    @property
    def may_be_sold(self) -> bool:
        """Tell whether the bike is in stock and nothing forbids a sale."""
        return self.reversal is None and self.standing is None and not self.reasons

    @property
    def may_be_reversed(self) -> bool:
        """Tell whether it can be asked for: it was never sold, and not reversed before."""
        return self.reversal is None and not self.sales


def row_page(purchase: Purchase) -> RowPage:
    """Return a row of the book with everything its page shows."""
    sales = tuple(
        Sale.objects.filter(purchase=purchase)
        .select_related("buyer", "credit_note__by", "by")
        .prefetch_related(Prefetch("lines", Line.objects.order_by("position")), with_reductions())
        .order_by("turn")
    )
    last = sales[-1] if sales else None
    gone: Reversal | None = getattr(purchase, "reversal", None)
    here = gone is None and (last is None or hasattr(last, "credit_note"))
    return RowPage(
        purchase,
        getattr(purchase, "seller", None),
        sales,
        tuple(reasons_not_to_sell(purchase.bike)) if here else (),
        gone,
    )


def purchases_for_page() -> QuerySet[Purchase]:
    """Return purchases with all that a page shows of one."""
    return Purchase.objects.select_related(
        "bike", "seller", "by", "provenance", "check_made", "reversal__by"
    )


def sales_for_page() -> QuerySet[Sale]:
    """Return sales with what a page about one of them shows."""
    rows = Sale.objects.select_related("purchase__bike", "buyer")
    return rows.prefetch_related(with_reductions())
