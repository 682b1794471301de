"""The list of the stock and the page of a part: what they tell, and to whom."""

from decimal import Decimal

import pytest
from django.urls import reverse

from inventory.stock.models import StockLevel
from inventory.stock.verbs.reserve import reserve
from tests.asking import (
    assert_mechanics_see_costs_once_allowed,
    assert_only_who_may_sees_costs,
    queries_of,
    text_of,
)
from tests.factories.parts import PartFactory
from tests.factories.people import UserFactory
from tests.factories.shop import ShopFactory, vat_rates
from tests.factories.stock import come_in, stocked, take
from tests.inventory.stock.addresses import LIST, move_of, page_of

pytestmark = pytest.mark.django_db
D = Decimal


def listed(client, **query):
    return [row.record.code for row in client.get(LIST, query).context["table"].rows]


# the list


def test_the_list_shows_levels_and_what_is_short(bench):
    part = stocked(3, code="hub", name="Hub", minimum=4, place="A1")
    reserve(part, quantity=D(1), reference="Q1", by=UserFactory.create(), key="r")
    PartFactory.create(code="rim", name="Rim")
    text = text_of(bench.get(LIST))
    assert "short of 2" in text
    assert text.count("short of") == 1


@pytest.mark.parametrize("query", [{"q": "hu a1"}, {"place": "a1"}, {"short": "on"}])
def test_the_list_is_searched_and_narrowed(bench, query):
    PartFactory.create(code="hub", name="Hub", place="A1", minimum=1)
    stocked(1, code="rim", name="Rim", place="B2", minimum=1)
    assert listed(bench, **query) == ["hub"]


@pytest.mark.parametrize("scanned", ["6291041500213", "629-104-150-0213".replace("-", " "), "HUB"])
def test_a_scanned_code_leads_to_its_part(bench, scanned):
    part = PartFactory.create(code="hub", gtin="6291041500213")
    PartFactory.create(code="hub-front")
    assert bench.get(LIST, {"q": scanned})["Location"] == page_of(part)


def test_a_part_runs_as_many_queries_with_few_movements_as_with_many(manager):
    part = stocked(5)
    take(part, 1)
    few = queries_of(manager, page_of(part))
    for _ in range(10):
        take(come_in(part, 2).part, 1)
    assert queries_of(manager, page_of(part)) == few


# a part


def test_costs_are_shown_to_who_may_see_them():
    part = stocked(3, "4.13", cost_net=D("7.77"), markup=D(1), price_net=D(20))
    assert_only_who_may_sees_costs(page_of(part), "£12.39", "£7.77", "£15.54")
    assert_mechanics_see_costs_once_allowed(page_of(part), "£12.39", "£7.77")
    assert_only_who_may_sees_costs(LIST, "£12.39")
    assert_only_who_may_sees_costs(move_of(part, "goods-in"), "7.77")


def test_the_proposed_price_ends_as_wished_with_vat(manager):
    ShopFactory.create()
    vat_rates()
    part = PartFactory.create(cost_net=D(8), markup=D("0.6"), ending="ninety_nine")
    assert "£13.33 (£15.99 with VAT)" in text_of(manager.get(page_of(part)))


def test_a_part_tells_what_is_reserved_and_it_can_be_released(bench):
    part = stocked(3)
    kept = reserve(part, quantity=D(2), reference="Q0007", by=UserFactory.create(), key="r")
    assert "Q0007" in text_of(bench.get(page_of(part)))
    bench.post(reverse("stock:release", args=(kept.pk,)))
    assert StockLevel.objects.get(part=part).reserved == 0
