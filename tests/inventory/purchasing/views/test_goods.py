"""The page of goods in: what it asks for, books and refuses."""

from decimal import Decimal

import pytest
from django.utils import timezone

from inventory.purchasing.models import (
    Delivery,
    DeliveryLine,
)
from inventory.purchasing.verbs.close import close
from inventory.stock.models import StockLevel
from inventory.stock.wants import Want
from tests.asking import key_on, text_of
from tests.factories.parts import PartFactory
from tests.factories.people import UserFactory
from tests.factories.purchasing import came, drafted, ordered, sold
from tests.factories.suppliers import SupplierFactory
from tests.inventory.purchasing.addresses import url

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shop", "printed_quickly")]
D = Decimal


def receiving(client, order, *quantities, **more):
    """What the page of goods in sends."""
    lines = order.lines.order_by("pk")
    fields = {"key": key_on(client, url("goods_in", order)), "came_on": timezone.localdate()}
    fields |= {f"came-{line.pk}": each for line, each in zip(lines, quantities, strict=True)}
    return fields | more


def test_a_mechanic_books_in_what_came_at_the_prices_ordered(bench):
    part = PartFactory.create(place="C3", unit="pc")
    order = ordered(sold(part, "4.00", pack=2), packs=5)
    assert "goes to C3" in text_of(bench.get(url("goods_in", order)))
    line = order.lines.get()
    fields = receiving(bench, order, "4", reference="LS 1") | {f"price-{line.pk}": "0.01"}
    for _ in range(2):
        assert bench.post(url("goods_in", order), fields)["Location"] == url("order", order)
    assert Delivery.objects.get().reference == "LS 1"
    level = StockLevel.objects.get(part=part)
    assert (level.on_hand, level.value) == (4, 8)


def test_the_manager_enters_the_price_of_the_invoice(manager):
    part = PartFactory.create()
    order = ordered(sold(part, "4.00"), packs=5)
    line = order.lines.get()
    fields = receiving(manager, order, "5") | {f"price-{line.pk}": "4,20"}
    manager.post(url("goods_in", order), fields)
    assert StockLevel.objects.get(part=part).value == 21
    text = text_of(manager.get(url("order", order)))
    assert "Dearer than ordered by" in text
    assert "£1.00" in text
    assert "closed" in text


def test_what_came_in_another_currency_asks_for_the_rate(manager):
    part = PartFactory.create()
    order = ordered(sold(part, "10.00", supplier=SupplierFactory.create(currency="EUR")), packs=1)
    assert "One EUR is how many GBP" in text_of(manager.get(url("goods_in", order)))
    line = order.lines.get()
    fields = receiving(manager, order, "1") | {f"price-{line.pk}": "10"}
    assert manager.post(url("goods_in", order), fields).status_code == 422
    manager.post(url("goods_in", order), fields | {"rate": "0,85"})
    assert StockLevel.objects.get(part=part).value == D("8.50")


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"came": "6"}, "Write why it is kept"),
        ({"came": ""}, "Nothing came"),
        ({"came": "0.001"}, "2 decimal places"),
        ({"came": "-1"}, "greater than"),
        ({"came": "some"}, "number"),
        ({"came_on": "2099-01-01"}, "lies ahead"),
        ({"came_on": "2001-01-01"}, "from then up to today"),
        ({"came_on": ""}, "required"),
    ],
)
def test_what_cannot_be_booked_is_said_and_nothing_is(bench, change, words):
    order = ordered(packs=5)
    line = order.lines.get()
    fields = receiving(bench, order, "5")
    fields |= {f"came-{line.pk}" if name == "came" else name: each for name, each in change.items()}
    answer = bench.post(url("goods_in", order), fields)
    assert answer.status_code == 422
    assert words in text_of(answer)
    assert not Delivery.objects.exists()


def test_more_than_was_ordered_is_kept_for_a_reason_and_that_is_shown(bench):
    order = ordered(packs=5)
    bench.post(url("goods_in", order), receiving(bench, order, "6", over_reason="a gift"))
    assert DeliveryLine.objects.get().over_reason == "a gift"
    assert "more than ordered: a gift" in text_of(bench.get(url("order", order)))


def test_only_what_is_still_to_come_is_asked_for(bench):
    first = sold(name="Inner tube")
    order = ordered(first, sold(supplier=first.supplier, name="Rim tape"), packs=2)
    came(order, 2)
    text = text_of(bench.get(url("goods_in", order)))
    assert "Rim tape" in text
    assert "Inner tube" not in text


def test_goods_in_tells_who_waits(bench, waited_for):
    part = PartFactory.create()
    order = ordered(sold(part))
    waited_for[:] = [Want(part.pk, D(2), "J0007")]
    assert "for J0007" in text_of(bench.get(url("goods_in", order)))


@pytest.mark.parametrize("ended", [True, False])
def test_nothing_is_booked_in_for_an_order_that_is_not_open(bench, ended):
    order = ordered() if ended else drafted(sold())
    if ended:
        close(order, reason="twice", by=UserFactory.create())
    assert bench.get(url("goods_in", order))["Location"] == url("order", order)
