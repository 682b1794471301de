"""The pool of cheap second-hand goods as tests want it."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal
from typing import Any

from factory.django import DjangoModelFactory

from quotes.pool.models import Carry, EntryKind, Pool, PoolEntry, PoolRule
from quotes.pool.verbs.enter import enter
from tests.factories.people import UserFactory
from tests.factories.shop import ShopFactory, VatRateFactory
from workshop.people.models import User
from workshop.shop.models import VatRate


class PoolRuleFactory(DjangoModelFactory[PoolRule]):
    """The British rules: an article up to 500.00, an excess always carried."""

    class Meta:
        model = PoolRule

    valid_from = dt.date(1995, 6, 1)
    item_limit = Decimal(500)
    carry = Carry.ALWAYS
    waived_up_to = Decimal(1000)
    source = "SI 1995/1268"


class PoolFactory(DjangoModelFactory[Pool]):
    """A pool by quarters since January 2025."""

    class Meta:
        model = Pool

    pk = 1
    joined_on = dt.date(2025, 1, 1)
    months = 3
    begins_in = 1


def british_pool(**pool: Any) -> Pool:
    """Set up a British shop with a pool; VAT is at 20 %."""
    ShopFactory.create()
    if not VatRate.objects.exists():
        VatRateFactory.create()
    if not PoolRule.objects.exists():
        PoolRuleFactory.create()
    return PoolFactory.create(**pool)


def entry(kind: str, day: str, price: str, *, by: User | None = None, **more: Any) -> PoolEntry:
    """Enter one article by the pool's own verb; the day as 2025-02-01."""
    more.setdefault("description", "an old bike")
    (made,) = enter(
        kind=EntryKind(kind),
        day=dt.date.fromisoformat(day),
        prices=[Decimal(price)],
        by=by or UserFactory.create(manager=True),
        shop=ShopFactory.create(),
        **more,
    )
    return made
