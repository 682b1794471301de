"""Pages of the pool: periods, one of them, entering, taking back, declaring, setting up."""

import datetime as dt

import pytest
from django.urls import reverse

from quotes.pool.models import Pool, PoolEntry, PoolReturn
from tests.asking import queries_of, text_of
from tests.factories.bikes import BikeFactory
from tests.factories.people import sign_in
from tests.factories.pool import british_pool, entry
from tests.factories.shop import ShopFactory

pytestmark = pytest.mark.django_db

OVERVIEW = reverse("pool:overview")
ENTER = reverse("pool:enter")
SET_UP = reverse("pool:set_up")
FIRST = reverse("pool:period", args=(dt.date(2025, 1, 1),))


@pytest.fixture
def desk(client):
    client.person = sign_in(client, manager=True)
    return client


def typed(**more):
    return {
        "kind": "purchase",
        "date": "2025-02-01",
        "prices": "120",
        "description": "a bike",
    } | more


def test_without_a_pool_the_page_says_what_one_is(desk):
    ShopFactory.create()
    page = text_of(desk.get(OVERVIEW))
    assert "No pool yet" in page
    assert SET_UP in page
    assert desk.get(ENTER).status_code == 404
    assert desk.get(FIRST).status_code == 404


def test_the_accountant_reads_and_is_offered_nothing_to_change(client):
    british_pool()
    entry("sale", "2025-02-01", "300")
    sign_in(client, accountant=True)
    for url in (OVERVIEW, FIRST):
        page = text_of(client.get(url))
        assert "£50.00" in page
        for offer in (ENTER, SET_UP, "Take back", "Mark as declared"):
            assert offer not in page


def test_a_pool_is_set_up_on_screen(desk):
    ShopFactory.create()
    assert "three months" in text_of(desk.get(SET_UP))
    response = desk.post(
        SET_UP, {"joined_on": "2026-01-01", "months": "2", "begins_in": "1"}, follow=True
    )
    pool = Pool.objects.get()
    assert (pool.joined_on, pool.months) == (dt.date(2026, 1, 1), 2)
    assert "May to Jun 2026" in text_of(response)
    assert pool.history.get().history_user == desk.person


def test_a_strange_length_of_period_is_refused(desk):
    ShopFactory.create()
    response = desk.post(SET_UP, {"joined_on": "2026-01-01", "months": "5", "begins_in": "1"})
    assert response.status_code == 422
    assert not Pool.objects.exists()


def test_the_way_from_a_purchase_to_a_declared_period(desk, pool):
    bike = BikeFactory.create()
    desk.post(ENTER, typed(prices="£600,00".replace("6", "4"), stock_no=bike.stock_no.lower()))
    sold = typed(kind="sale", prices="1000", stock_no=bike.stock_no, description="")
    assert "Entered as sold" in text_of(desk.post(ENTER, sold, follow=True))
    page = text_of(desk.get(FIRST))
    for words in ("20/120 of it", "£100.00", "Box 6", "£900.00", "-£400.00", "not tax advice"):
        assert words in page
    done = text_of(desk.post(reverse("pool:declare", args=(dt.date(2025, 1, 1),)), follow=True))
    assert "declared" in done
    assert "Take back" in done
    assert PoolReturn.objects.get().by == desk.person
    late = desk.post(ENTER, typed())
    assert late.status_code == 422
    assert "have been declared" in text_of(late)


def test_what_is_dearer_than_the_limit_is_said_at_the_price(desk, pool):
    response = desk.post(ENTER, typed(prices="250\n612\n\n"))
    assert response.status_code == 422
    assert "£612.00 is more than £500.00" in str(response.context["form"].errors["prices"])
    assert not PoolEntry.objects.exists()


@pytest.mark.parametrize(
    ("more", "field", "words"),
    [
        ({"prices": "ten"}, "prices", "is not a price"),
        ({"prices": " \n"}, "prices", "required"),
        ({"stock_no": "B9999"}, "stock_no", "There is no bike B9999"),
        ({"description": ""}, "description", "Say what it is"),
        ({"date": "2030-01-01"}, "__all__", "has not come yet"),
        ({"kind": "lost"}, "kind", "valid choice"),
    ],
)
def test_what_is_wrong_is_said_and_nothing_is_entered(desk, pool, more, field, words):
    response = desk.post(ENTER, typed(**more))
    assert response.status_code == 422
    assert words in str(response.context["form"].errors[field])
    assert not PoolEntry.objects.exists()


def test_a_lot_is_entered_with_one_price_a_line(desk, pool):
    page = desk.post(ENTER, typed(prices="250\n1.5\n20"), follow=True)
    assert "3 pieces" in text_of(page)
    assert sorted(PoolEntry.objects.values_list("amount", flat=True)) == [1.5, 20, 250]


def test_an_entry_is_taken_back_on_screen(desk, pool):
    sold = entry("sale", "2025-02-01", "300")
    url = reverse("pool:reverse", args=(sold.pk,))
    assert "£300.00" in text_of(desk.get(url))
    assert desk.post(url, {"reason": ""}).status_code == 422
    page = text_of(desk.post(url, {"reason": "typed twice"}, follow=True))
    assert "Taken back: an old bike." in page
    period = text_of(desk.get(FIRST))
    assert "typed twice" in period
    assert url not in period
    assert desk.post(url, {"reason": "again"}).status_code == 422


def test_declaring_too_early_is_answered_with_why_not(desk, pool):
    url = reverse("pool:declare", args=(dt.date(2026, 4, 1),))
    assert "not ended yet" in text_of(desk.post(url, follow=True)) or "earlier period" in text_of(
        desk.get(OVERVIEW)
    )
    assert not PoolReturn.objects.exists()


def test_other_countries_are_shown_no_boxes(desk, pool):
    ShopFactory.create()
    from workshop.shop.models import Shop

    Shop.objects.update(country="IE", currency="EUR", locale="en_IE")
    page = text_of(desk.get(FIRST))
    assert "Box 1" not in page
    assert "€0.00" in page


def test_a_day_that_is_none_is_no_page(desk, pool):
    assert desk.get("/global-accounting/2025-02-30/").status_code == 404
    assert desk.get("/global-accounting/2025-02-01/").status_code == 404


@pytest.mark.parametrize("url", [OVERVIEW, FIRST])
def test_the_pages_run_as_many_queries_for_many_entries_as_for_few(desk, pool, url):
    for bike in BikeFactory.create_batch(2):
        entry("purchase", "2025-02-01", "10", bike=bike)
    few = queries_of(desk, url)
    for bike in BikeFactory.create_batch(12):
        entry("purchase", "2025-02-01", "10", bike=bike)
    assert queries_of(desk, url) == few
