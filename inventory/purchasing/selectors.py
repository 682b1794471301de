"""Reading orders: the list, an order's page, what is on order of a part."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import QuerySet

from inventory.core.money import quantise
from inventory.parts.models import Part
from inventory.purchasing.models import (
    OPEN,
    Delivery,
    DeliveryLine,
    PurchaseLine,
    PurchaseOrder,
    State,
)
from inventory.purchasing.standing import ZERO, came_of, to_come
from inventory.suppliers.models import Supplier, SupplierPart
from inventory.suppliers.selectors import articles_of

ARTICLES_OFFERED = 30


def orders_for_list() -> QuerySet[PurchaseOrder]:
    """Return orders with their suppliers and lines, newest first."""
    return PurchaseOrder.objects.select_related("supplier").prefetch_related("lines")


def total_net(order: PurchaseOrder) -> Decimal:
    """Return what an order comes to, net: the sum of its lines' amounts."""
    amounts = (quantise(x.packs * x.pack_cost_net, order.currency) for x in order.lines.all())
    return sum(amounts, ZERO)


def lines_of(order: PurchaseOrder) -> list[PurchaseLine]:
    """Return the lines of an order with their parts and articles."""
    lines = list(order.lines.select_related("part", "article"))
    for line in lines:
        line.order = order
    return lines


@dataclass(frozen=True, slots=True)
class LineRow:
    """A line and how many of it came, in the part's unit."""

    line: PurchaseLine
    came: Decimal

    @property
    def to_come(self) -> Decimal:
        """Return how many are still missing."""
        return to_come(self.line, self.came)

    @property
    def outdated(self) -> bool:
        """Tell whether the price that the line was made at no longer holds."""
        article = self.line.article
        return article is not None and article.valid_until is not None


@dataclass(frozen=True, slots=True)
class CameRow:
    """A row of a delivery, and whether its movement was taken back since."""

    row: DeliveryLine
    taken_back: bool


@dataclass(frozen=True, slots=True)
class DeliveryShown:
    """A delivery with its rows."""

    delivery: Delivery
    rows: Sequence[CameRow]


@dataclass(frozen=True, slots=True)
class OrderPage:
    """All that an order's page shows; amounts net, in the order's currency."""

    order: PurchaseOrder
    rows: Sequence[LineRow]
    deliveries: Sequence[DeliveryShown]

    @property
    def total_net(self) -> Decimal:
        """Return the sum of the lines."""
        return sum((each.line.amount_net for each in self.rows), ZERO)

    @property
    def dearer_net(self) -> Decimal:
        """Return by how much what came cost more than was ordered."""
        rows = (each for shown in self.deliveries for each in shown.rows if not each.taken_back)
        return sum((each.row.dearer_net for each in rows), ZERO)

    @property
    def to_free_carriage(self) -> Decimal | None:
        """Return what is missing to free carriage; None where no threshold is known."""
        threshold = self.order.supplier.carriage_free_net
        return None if threshold is None else max(threshold - self.total_net, ZERO)

    @property
    def can_reopen(self) -> bool:
        """Tell whether it closed by itself, and something of it was taken back since."""
        order = self.order
        by_itself = order.state == State.CLOSED and not order.close_reason
        return by_itself and any(each.to_come for each in self.rows)


def order_page(order: PurchaseOrder) -> OrderPage:
    """Return an order with its lines and deliveries, in a constant number of queries."""
    lines = lines_of(order)
    came = came_of(lines)
    by_line = {line.pk: line for line in lines}
    shown = []
    deliveries = order.deliveries.select_related("by").prefetch_related(
        "lines__movement__reversal", "lines__line__part"
    )
    for delivery in deliveries:
        delivery.order = order
        rows = sorted(delivery.lines.all(), key=lambda each: each.line_id)
        for row in rows:
            row.line = by_line[row.line_id]
        marked = [CameRow(row, hasattr(row.movement, "reversal")) for row in rows]
        shown.append(DeliveryShown(delivery, marked))
    return OrderPage(order, [LineRow(line, came[line.pk]) for line in lines], shown)


def articles_to_add(supplier: Supplier, text: str) -> list[SupplierPart]:
    """Return articles of a supplier that are matched with parts of ours and have these words."""
    found = articles_of(supplier).filter(part__isnull=False, part__active=True)
    for word in text.replace("\0", " ").split():
        found = found.filter(name__icontains=word) | found.filter(code__icontains=word)
    return list(found.order_by("name")[:ARTICLES_OFFERED])


def open_lines_of(part: Part) -> list[LineRow]:
    """Return the lines of drafts and open orders in which a part stands, oldest first."""
    lines = list(
        PurchaseLine.objects.filter(part=part, order__state__in=(State.DRAFT, *OPEN))
        .select_related("order__supplier", "article")
        .order_by("order_id", "pk")
    )
    came = came_of(lines)
    rows = [LineRow(line, came[line.pk]) for line in lines]
    return [each for each in rows if each.to_come]
