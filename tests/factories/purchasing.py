"""Orders, made up for tests by way of the verbs."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal
from typing import Any
from unittest import mock

from inventory.core import workdays
from inventory.parts.models import Part
from inventory.purchasing.models import Delivery, PurchaseOrder
from inventory.purchasing.offers import offer_of
from inventory.purchasing.selectors import lines_of
from inventory.purchasing.verbs.make_drafts import Pick, make_drafts
from inventory.purchasing.verbs.place import place
from inventory.purchasing.verbs.receive import Came, Note, receive
from inventory.suppliers.models import Supplier, SupplierPart
from tests.factories.parts import PartFactory
from tests.factories.people import UserFactory
from tests.factories.shop import ShopFactory
from tests.factories.stock import a_key, come_in, take
from tests.factories.suppliers import ArticleFactory


def sold(part: Part | None = None, price: object = "10.00", **article: object) -> SupplierPart:
    """Return an article of a part at a price for a pack."""
    amount = Decimal(str(price))
    return ArticleFactory.create(
        part=part or PartFactory.create(), list_price_net=amount, **article
    )


def drafted(*articles: SupplierPart, packs: int = 2, by: Any = None) -> PurchaseOrder:
    """Return a draft of articles of one supplier."""
    picks = [Pick(each.part, offer_of(each), packs) for each in articles if each.part]
    (made,) = make_drafts(picks, by=by or UserFactory.create(), key=a_key())
    return made


def ordered(*articles: SupplierPart, packs: int = 2, by: Any = None) -> PurchaseOrder:
    """Return an order that was sent; of one article of its own where none is given."""
    draft = drafted(*(articles or (sold(),)), packs=packs, by=by)
    return place(draft, by=by or UserFactory.create(), shop=ShopFactory.create())


def part_of(order: PurchaseOrder) -> Part:
    """Return the part of an order's only line."""
    return order.lines.get().part


def used_daily(part: Part, days: int = 40) -> Part:
    """Use one a day of a part, up to yesterday, and return it."""
    by = UserFactory.create()
    come_in(part, days + 5, days=days + 1, by=by)
    for day in range(1, days + 1):
        take(part, 1, days=day, by=by)
    return part


def came(
    order: PurchaseOrder,
    *quantities: object,
    price: object = None,
    by: Any = None,
    key: str = "",
    **note: Any,
) -> Delivery:
    """Take goods in, a quantity for each line in their order; None where nothing came."""
    cost = None if price is None else Decimal(str(price))
    rows = [
        Came(line, Decimal(str(quantity)), cost)
        for line, quantity in zip(lines_of(order), quantities, strict=False)
        if quantity is not None
    ]
    return receive(order, rows, Note(**note), by=by or UserFactory.create(), key=key or a_key())


def came_late(supplier: Supplier, late: int, *, ordered_on: dt.datetime) -> PurchaseOrder:
    """Return an order that was placed on a day and came late by so many working days."""
    with mock.patch("django.utils.timezone.now", return_value=ordered_on):
        order = ordered(sold(supplier=supplier))
    if order.expected_on is None:
        raise ValueError("The supplier has no lead time, so that no day is expected.")
    came(order, 2, came_on=workdays.after(order.expected_on, late))
    return order
