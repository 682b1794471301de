"""Goods in: what came is booked at what it cost, once, and what cannot be is refused."""

import datetime as dt
from decimal import Decimal

import pytest
from django.utils import timezone

from inventory.purchasing.errors import OverDeliveryError, PurchaseError
from inventory.purchasing.models import (
    Delivery,
    DeliveryLine,
    State,
)
from inventory.purchasing.selectors import order_page
from inventory.purchasing.standing import on_order
from inventory.purchasing.verbs.close import close
from inventory.purchasing.verbs.receive import Came, Note, receive
from inventory.stock.models import StockLevel, StockMovement
from tests.factories.parts import PartFactory
from tests.factories.purchasing import came, drafted, ordered, part_of, sold
from tests.factories.stock import a_key
from tests.factories.suppliers import SupplierFactory

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("printed_quickly", "proven_ledger")]
D = Decimal


def there(part):
    level = StockLevel.objects.get(part=part)
    return level.on_hand, level.value


def test_part_deliveries_book_stock_until_all_has_come():
    part = PartFactory.create()
    order = ordered(sold(part, "10.00", pack=5), packs=2)
    came(order, 4)
    order.refresh_from_db()
    assert order.state == State.PART_DELIVERED
    assert there(part) == (4, 8)
    assert on_order([part.pk]) == {part.pk: 6}
    came(order, 6)
    order.refresh_from_db()
    assert (order.state, order.close_reason) == (State.CLOSED, "")
    assert there(part) == (10, 20)
    assert on_order([part.pk]) == {}
    assert set(StockMovement.objects.values_list("reference", flat=True)) == {"P0001"}


def test_another_price_flows_into_the_cost_and_is_told():
    part = PartFactory.create()
    order = ordered(sold(part, "10.00", pack=3), packs=2)
    came(order, 6, price="10.50")
    assert there(part) == (6, 21)
    page = order_page(order)
    assert page.dearer_net == 1
    (shown,) = page.deliveries
    assert shown.rows[0].row.dearer_net == 1


def test_a_pack_that_does_not_divide_costs_what_it_cost():
    part = PartFactory.create()
    came(ordered(sold(part, "10.00", pack=3), packs=1), 3)
    assert there(part) == (3, 10)


def test_a_foreign_price_is_booked_at_the_rate_of_the_day():
    part = PartFactory.create()
    euro = SupplierFactory.create(currency="EUR")
    order = ordered(sold(part, "20.00", supplier=euro), packs=2)
    assert order.currency == "EUR"
    came(order, 2, rate=D("0.8555"))
    assert there(part) == (2, D("34.22"))


def test_goods_of_a_past_day_are_booked_on_that_day(monkeypatch):
    past = timezone.now() - dt.timedelta(days=4)
    with monkeypatch.context() as patched:
        patched.setattr(timezone, "now", lambda: past)
        order = ordered()
    day = timezone.localdate() - dt.timedelta(days=2)
    came(order, 1, came_on=day)
    assert timezone.localtime(StockMovement.objects.get().at).date() == day


@pytest.mark.parametrize("days", [-1, 1])
def test_goods_come_neither_before_they_were_ordered_nor_tomorrow(days):
    order = ordered()
    with pytest.raises(PurchaseError, match="from then up to today"):
        came(order, 1, came_on=timezone.localdate() + dt.timedelta(days=days))


def test_more_than_was_ordered_wants_a_reason():
    part = PartFactory.create(name="Inner tube")
    article = sold(part, name="Inner tube")
    order = ordered(article, sold(supplier=article.supplier), packs=2)
    with pytest.raises(OverDeliveryError, match="Inner tube: 3 more"):
        came(order, 5, 1)
    assert not StockMovement.objects.exists()
    came(order, 5, 1, over_reason="a gift")
    assert [x.over_reason for x in DeliveryLine.objects.all()] == ["a gift", ""]
    assert on_order([part.pk])[part.pk] == 0


def test_one_key_is_one_delivery(by):
    order = ordered(packs=5)
    assert came(order, 2, key="k") == came(order, 2, key="k")
    assert there(part_of(order))[0] == 2
    with pytest.raises(PurchaseError, match="Something else has been booked"):
        came(order, 1, key="k")
    with pytest.raises(PurchaseError, match="Something else"):
        came(ordered(), 2, key="k")


def test_the_key_holds_after_the_order_has_closed():
    order = ordered(packs=2)
    assert came(order, 2, key="k") == came(order, 2, key="k")
    assert Delivery.objects.count() == 1


def test_what_cannot_be_booked_leaves_nothing(by):
    order = ordered(packs=5)
    line = order.lines.get()
    for rows, note, words in (
        ([], Note(), "Nothing came"),
        ([Came(line, D("0.005"))], Note(), "two decimals"),
        ([Came(line, D(-1))], Note(), "above 0"),
        ([Came(line, D(1), D(-1))], Note(), "never below zero"),
        ([Came(line, D(1))], Note(rate=D(0)), "above 0"),
        ([Came(ordered().lines.get(), D(1))], Note(), "not ordered with P0001"),
    ):
        with pytest.raises(PurchaseError, match=words):
            receive(order, rows, note, by=by, key=a_key())
    assert not Delivery.objects.exists()
    assert not StockMovement.objects.exists()


def test_nothing_comes_in_for_a_draft_or_an_order_that_ended(by):
    draft = drafted(sold())
    with pytest.raises(PurchaseError, match="nothing comes in"):
        came(draft, 1)
    order = close(ordered(), reason="twice", by=by)
    with pytest.raises(PurchaseError, match="is cancelled"):
        came(order, 1)
