"""Who is shown what an order costs."""

from decimal import Decimal

import pytest

from tests.asking import (
    assert_mechanics_see_costs_once_allowed,
    assert_only_who_may_sees_costs,
)
from tests.factories.parts import PartFactory
from tests.factories.people import sign_in
from tests.factories.purchasing import came, drafted, ordered, sold
from tests.factories.suppliers import SupplierFactory
from tests.inventory.purchasing.addresses import LIST, SHORT, url

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shop", "printed_quickly")]
D = Decimal


def test_costs_of_an_order_are_shown_only_to_those_who_may_see_them():
    supplier = SupplierFactory.create(carriage_free_net=500, carriage_net=D("7.77"))
    draft = drafted(sold(price="12.34", supplier=supplier), packs=3)
    assert_only_who_may_sees_costs(url("order", draft), "£12.34", "£37.02", "£462.98")
    assert_only_who_may_sees_costs(url("change", draft), "12.34")
    assert_only_who_may_sees_costs(url("add", draft), "£12.34", "£462.98")


def test_costs_of_goods_that_came_are_shown_only_to_those_who_may_see_them():
    order = ordered(sold(price="12.34"), packs=3)
    came(order, 1, price="12.99")
    assert_only_who_may_sees_costs(url("order", order), "£12.34", "£37.02", "£12.99", "£0.65")
    assert_only_who_may_sees_costs(url("goods_in", order), "12.34")
    assert_mechanics_see_costs_once_allowed(url("order", order), "£12.34", "£12.99")
    assert_mechanics_see_costs_once_allowed(url("goods_in", order), "12.34")


def test_costs_of_what_is_short_are_shown_only_to_those_who_may_see_them():
    supplier = SupplierFactory.create(carriage_free_net=500)
    sold(PartFactory.create(minimum=3), "12.34", supplier=supplier)
    assert_only_who_may_sees_costs(SHORT, "£12.34", "£37.02", "£462.98")


def test_totals_are_in_the_list_and_its_file_only_for_those_who_may_see_them():
    ordered(sold(price="12.34"), packs=3)
    assert_only_who_may_sees_costs(LIST, "£37.02")


@pytest.mark.parametrize("name", ["pdf", "csv"])
def test_paper_and_file_are_not_for_those_who_may_not_see_costs(name):
    order = ordered()
    from django.test import Client

    for traits, status in (
        ({"manager": True}, 200), ({"accountant": True}, 200), ({"desk": True}, 403), ({}, 403),
    ):  # fmt: skip
        client = Client()
        sign_in(client, **traits)
        assert client.get(url(name, order)).status_code == status, traits
