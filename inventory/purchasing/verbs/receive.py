"""Books goods in that came of an order, at what they really cost."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.contrib.auth.base_user import AbstractBaseUser
from django.db import transaction
from django.utils import timezone

from inventory.core.money import quantise
from inventory.purchasing.errors import OverDeliveryError, PurchaseError
from inventory.purchasing.locking import brought_up_to_date, locked_open
from inventory.purchasing.models import Delivery, DeliveryLine, PurchaseLine, PurchaseOrder
from inventory.purchasing.standing import came_of, to_come
from inventory.shopfacts import shop_facts
from inventory.stock.errors import StockError
from inventory.stock.models import StockMovement, plain
from inventory.stock.verbs.goods_in import goods_in


@dataclass(frozen=True, slots=True)
class Came:
    """How many came of a line, in the part's unit.

    ``pack_cost_net`` is what a pack cost, in the order's currency; None where as ordered.
    """

    line: PurchaseLine
    quantity: Decimal
    pack_cost_net: Decimal | None = None


@dataclass(frozen=True, slots=True)
class Note:
    """What came with the goods: the day (None is today), delivery note, rate of exchange.

    ``rate`` is what one unit of the order's currency cost in the shop's. ``over_reason`` says why
    more is kept than was ordered.
    """

    came_on: dt.date | None = None
    reference: str = ""
    rate: Decimal = Decimal(1)
    over_reason: str = ""


@transaction.atomic
def receive(
    order: PurchaseOrder, came: Sequence[Came], note: Note, *, by: AbstractBaseUser, key: str
) -> Delivery:
    """Return the delivery; the order closes by itself once all has come.

    The same ``key`` again gives the same delivery and books nothing.

    Raises:
        OverDeliveryError: more came than is still to come, and no reason is given.
        PurchaseError: the order is not open, nothing came, or something can't be booked.
    """
    PurchaseOrder.objects.select_for_update().get(pk=order.pk)
    before = Delivery.objects.filter(key=key).first()
    if before is not None:
        return _the_same(before, order, came)
    fresh = locked_open(order)
    lines = {line.pk: line for line in fresh.lines.select_related("part")}
    _check(fresh, lines, came, note)
    delivery = Delivery.objects.create(
        order=fresh,
        came_on=note.came_on or timezone.localdate(),
        reference=note.reference.strip(),
        rate=note.rate,
        by_id=by.pk,
        key=key,
    )
    over = _over(lines, came)
    for each in sorted(came, key=lambda each: lines[each.line.pk].part_id):
        reason = note.over_reason.strip() if each.line.pk in over else ""
        _book(delivery, lines[each.line.pk], each, reason, by)
    brought_up_to_date(fresh, by)
    return delivery


def _the_same(before: Delivery, order: PurchaseOrder, came: Sequence[Came]) -> Delivery:
    """Return the delivery that has the key already.

    Raises:
        PurchaseError: it is another one.
    """
    booked = {row.line_id: row.quantity for row in before.lines.all()}
    if before.order_id != order.pk or booked != {each.line.pk: each.quantity for each in came}:
        raise PurchaseError("Something else has been booked from this form. Load the page anew.")
    return before


def _check(
    order: PurchaseOrder, lines: dict[int, PurchaseLine], came: Sequence[Came], note: Note
) -> None:
    """See that what came can be booked.

    Raises:
        OverDeliveryError, PurchaseError: it can't be.
    """
    if not came:
        raise PurchaseError("Nothing came. Write how many came of each article.")
    if any(each.line.pk not in lines for each in came):
        raise PurchaseError(f"Something of this is not ordered with {order}. Load the page anew.")
    if note.rate <= 0:
        raise PurchaseError("Write what one unit of the order's currency costs, above 0.")
    ordered_on = timezone.localtime(order.ordered_at).date()
    if note.came_on is not None and not ordered_on <= note.came_on <= timezone.localdate():
        raise PurchaseError(
            f"{order} was ordered on {ordered_on:%d.%m.%Y}. Write a day from then up to today."
        )
    over = _over(lines, came)
    if over and not note.over_reason.strip():
        words = "; ".join(f"{lines[pk].name}: {plain(more)} more" for pk, more in over.items())
        raise OverDeliveryError(f"More came than was ordered ({words}). Write why it is kept.")


def _over(lines: dict[int, PurchaseLine], came: Sequence[Came]) -> dict[int, Decimal]:
    """Return by how much more came of lines than is still to come."""
    there = came_of(lines.values())
    more = {e.line.pk: e.quantity - to_come(lines[e.line.pk], there[e.line.pk]) for e in came}
    return {pk: quantity for pk, quantity in more.items() if quantity > 0}


def _book(
    delivery: Delivery, line: PurchaseLine, came: Came, reason: str, by: AbstractBaseUser
) -> DeliveryLine:
    """Book one article in and keep its row.

    Raises:
        PurchaseError: the quantity or price is none that can be booked.
    """
    price = line.pack_cost_net if came.pack_cost_net is None else came.pack_cost_net
    try:
        movement = _goods_in(delivery, line, came.quantity, price, by)
    except StockError as error:
        raise PurchaseError(f"{line.name}: {error}") from error
    return DeliveryLine.objects.create(
        delivery=delivery,
        line=line,
        quantity=came.quantity,
        pack_cost_net=price,
        movement=movement,
        over_reason=reason,
    )


def _goods_in(
    delivery: Delivery, line: PurchaseLine, quantity: Decimal, price: Decimal, by: AbstractBaseUser
) -> StockMovement:
    """Book goods at their cost in the shop's currency: of a past day, from its beginning on."""
    if quantity <= 0:
        raise StockError("Write how many came, above 0, or leave it empty.")
    value = quantise(quantity * price * delivery.rate / line.pack, shop_facts().currency())
    today = delivery.came_on == timezone.localdate()
    start = timezone.make_aware(dt.datetime.combine(delivery.came_on, dt.time.min))
    return goods_in(
        line.part,
        quantity=quantity,
        unit_cost=value / quantity,
        at=None if today else start,
        reference=delivery.order.number,
        by=by,
        key=f"{delivery.key}:{line.pk}",
    )
