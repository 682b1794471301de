"""Orders listed, ended and opened again, and told of on a part's page."""

from decimal import Decimal

import pytest
from django.urls import reverse

from inventory.purchasing.models import State
from inventory.purchasing.verbs.close import close
from inventory.stock.verbs.reverse import reverse_movement
from inventory.stock.wants import Want
from tests.asking import text_of
from tests.factories.parts import PartFactory
from tests.factories.people import UserFactory
from tests.factories.purchasing import came, drafted, ordered, sold
from tests.factories.stock import a_key
from tests.factories.suppliers import SupplierFactory
from tests.inventory.purchasing.addresses import LIST, url

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shop", "printed_quickly")]
D = Decimal


# ending


def test_an_order_is_cancelled_for_a_reason(manager):
    order = ordered()
    assert manager.post(url("end", order), {"reason": " "}).status_code == 422
    assert "Cancel P0001" in text_of(manager.get(url("end", order)))
    manager.post(url("end", order), {"reason": "ordered twice"})
    order.refresh_from_db()
    assert (order.state, order.close_reason) == (State.CANCELLED, "ordered twice")
    assert manager.get(url("end", order))["Location"] == url("order", order)


def test_the_rest_of_an_order_is_given_up(manager):
    order = ordered(packs=3)
    came(order, 1)
    assert "The rest will not come" in text_of(manager.get(url("end", order)))
    manager.post(url("end", order), {"reason": "out of stock"})
    assert "out of stock" in text_of(manager.get(url("order", order)))


def test_an_order_is_opened_again_after_goods_were_taken_back(manager):
    order = ordered(packs=3)
    movement = came(order, 3).lines.get().movement
    assert "Open it again" not in text_of(manager.get(url("order", order)))
    reverse_movement(movement, reason="wrong", by=UserFactory.create(), key=a_key())
    text = text_of(manager.get(url("order", order)))
    assert "Open it again" in text
    assert "taken back" in text
    manager.post(url("reopen", order))
    order.refresh_from_db()
    assert order.state == State.ORDERED


def test_what_was_ended_by_hand_is_not_opened_again(manager):
    order = close(ordered(), reason="twice", by=UserFactory.create())
    assert "ended by hand" in text_of(manager.post(url("reopen", order), follow=True))


def test_only_the_manager_ends_orders(desk):
    order = ordered()
    assert desk.get(url("end", order)).status_code == 403
    assert desk.post(url("reopen", order)).status_code == 403
    assert url("end", order) not in text_of(desk.get(url("order", order)))


# the list


@pytest.mark.parametrize(
    ("query", "found"),
    [
        ({"q": "p0001"}, ["P0001"]),
        ({"q": "tannery"}, ["P0001"]),
        ({"q": "inner tube"}, ["P0001"]),
        ({"q": "tr-9 tannery"}, ["P0001"]),
        ({"state": "cancelled"}, ["P0002"]),
        ({"state": "draft"}, [""]),
        ({"q": "nothing"}, []),
        ({}, ["", "P0002", "P0001"]),
    ],
)
def test_orders_are_found_and_narrowed(bench, query, found):
    supplier = SupplierFactory.create(name="Tannery Row")
    ordered(sold(supplier=supplier, name="Inner tube", code="TR-9"))
    close(ordered(), reason="twice", by=UserFactory.create())
    drafted(sold())
    rows = bench.get(LIST, query).context["table"].rows
    assert [row.record.number for row in rows] == found


# on other pages


def test_a_parts_page_tells_what_is_on_order_and_who_waits(bench, waited_for):
    part = PartFactory.create(unit="pc")
    order = ordered(sold(part), packs=5)
    came(order, 2)
    waited_for[:] = [Want(part.pk, D(4), "J0007 B0001: Fit it")]
    text = text_of(bench.get(reverse("stock:part", args=(part.pk,))))
    assert f"{order.number}</a>: 3 pc from {order.supplier}" in text
    assert "4 pc for J0007 B0001: Fit it" in text
