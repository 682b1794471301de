"""The pages of the stock book: who sees what, what they send, what is answered."""

from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from quotes.sales.models import CreditNote, Purchase, Sale
from tests.asking import assert_only_who_may_sees_costs, queries_of
from tests.factories.bikes import BikeFactory
from tests.factories.people import sign_in
from tests.factories.pool import british_pool
from tests.factories.provenance import passed
from tests.factories.sales import bought, decided, in_stock, returned, sold, trading_shop
from tests.pdfs import pages_of
from workshop.bikes.models import Bike, Stage
from workshop.customers.models import Customer

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shop")]


@pytest.fixture
def manager(client):
    sign_in(client, manager=True)
    return client


@pytest.fixture
def desk(client):
    sign_in(client, desk=True)
    return client


def body(response):
    return response.content.decode()


PURCHASE = {
    "bought_on": "2026-05-19",
    "price": "£585.50",
    "payment": "cash",
    "seller_name": "Ada Moss",
    "seller_address": "3 Mill Row",
    "unchecked_reason": "a colleague for years",
}
SALE = {
    "sold_on": "2026-05-20",
    "price": "1 025.00",
    "payment": "card",
    "buyer_name": "Ben Frost",
    "buyer_address": "8 Quay",
    "warranty_months": "6",
    "channel": "shop",
    "condition": "4",
    "extra_1": "Lock",
    "extra_1_price": "24",
}


def test_a_purchase_is_entered(manager):
    check = decided()
    url = reverse("sales:buy", args=(check.bike_id,))
    page = body(manager.get(url))
    assert "has not been checked" in page
    assert reverse("provenance:start", args=(check.bike_id,)) in page
    answer = manager.post(url, PURCHASE)
    row = Purchase.objects.get()
    assert answer.headers["Location"] == reverse("sales:row", args=(row.number,))
    assert (row.price, row.payment, row.seller.name) == (Decimal("585.5"), "cash", "Ada Moss")
    assert manager.get(url).headers["Location"] == reverse("sales:row", args=("S0001",))


def test_the_form_begins_with_who_the_seller_showed_to_be(manager):
    seller = {"customer__name": "Ada Moss", "customer__address": "3 Mill Row, Nowhere"}
    bike = BikeFactory.create(stage=Stage.INSPECTED, **seller)
    passed(bike)
    Customer.objects.update(address="Old Lane")
    decided(bike)
    page = body(manager.get(reverse("sales:buy", args=(bike.pk,))))
    assert "3 Mill Row" in page
    assert "Old Lane" not in page
    assert "passed provenance check" not in page


def test_a_bike_that_was_not_bought_has_no_such_page(manager):
    bike = BikeFactory.create()
    assert manager.get(reverse("sales:buy", args=(bike.pk,))).status_code == 404


def test_what_is_wrong_in_a_purchase_is_told(manager):
    check = decided()
    url = reverse("sales:buy", args=(check.bike_id,))
    answer = manager.post(url, PURCHASE | {"price": "x", "unchecked_reason": ""})
    assert answer.status_code == 422
    assert "is not a price" in body(answer)
    answer = manager.post(url, PURCHASE | {"bought_on": "2026-05-21"})
    assert (answer.status_code, Purchase.objects.count()) == (422, 0)
    assert "has not come yet" in body(answer)


def test_the_pool_is_offered_only_where_it_can_be_used(manager):
    cheap = decided(price="400")
    url = reverse("sales:buy", args=(cheap.bike_id,))
    assert "global accounting" not in body(manager.get(url))
    british_pool()
    assert "Put it into global accounting" in body(manager.get(url))
    dear = decided(price="501")
    assert "Put it into" not in body(manager.get(reverse("sales:buy", args=(dear.bike_id,))))
    manager.post(url, PURCHASE | {"price": "400", "pooled": "on"})
    assert Purchase.objects.get().is_pooled


def test_the_desk_sells(desk):
    row = in_stock()
    url = reverse("sales:sell", args=(row.number,))
    assert "Sell and make the invoice" in body(desk.get(url))
    answer = desk.post(url, SALE)
    sale = Sale.objects.get()
    assert answer.headers["Location"] == reverse("sales:row", args=(row.number,))
    assert (sale.price, sale.total, sale.buyer.name) == (1025, 1049, "Ben Frost")
    assert "SI0001" in body(desk.get(answer.headers["Location"]))
    assert desk.get(url).status_code == 302


def test_a_sale_that_is_not_to_be_says_why_and_has_no_form(desk):
    row = bought()
    page = body(desk.get(reverse("sales:sell", args=(row.number,))))
    assert "can’t be sold yet" in page
    assert "not released" in page
    assert "Sell and make the invoice" not in page
    assert desk.post(reverse("sales:sell", args=(row.number,)), SALE).status_code == 422
    assert not Sale.objects.exists()


# what is sent, what is said
WRONG = [
    ({"price": ""}, "required"),
    ({"sold_on": "2026-05-21"}, "not come yet"),
    ({"extra_2": "Bell"}, "Write the price of “Bell”"),
    ({"extra_2_price": "4"}, "Say what it is"),
    ({"warranty_months": "121"}, "less than or equal to 120"),
]


@pytest.mark.parametrize(("sent", "said"), WRONG)
def test_what_is_wrong_in_a_sale_is_told(desk, sent, said):
    row = in_stock()
    answer = desk.post(reverse("sales:sell", args=(row.number,)), SALE | sent)
    assert (answer.status_code, Sale.objects.count()) == (422, 0)
    assert said in body(answer)


def test_the_manager_takes_a_sale_back(manager):
    sale = sold()
    url = reverse("sales:take_back", args=(sale.number,))
    assert "£900.00 is paid back" in body(manager.get(url))
    sent = {"returned_on": "2026-04-07", "reason": "too small", "to_bench": "no"}
    answer = manager.post(url, sent | {"reason": " "})
    assert (answer.status_code, CreditNote.objects.count()) == (422, 0)
    answer = manager.post(url, sent)
    page = body(manager.get(answer.headers["Location"]))
    assert "Credit note CN0001" in page
    assert "Sold and taken back" in page
    assert Bike.objects.get().stage == Stage.RELEASED
    answer = manager.post(url, sent)
    assert "already" in body(answer)


def test_papers_are_given_as_they_were_made(manager):
    sale = sold()
    note = returned(sale)
    for url, words in (
        (reverse("sales:receipt", args=(sale.purchase.number,)), "Purchase receipt"),
        (reverse("sales:invoice", args=(sale.number,)), "Invoice"),
        (reverse("sales:credit_note", args=(note.number,)), "Credit note"),
    ):
        answer = manager.get(url)
        assert answer.headers["Content-Type"] == "application/pdf"
        assert "no-store" in answer.headers["Cache-Control"]
        assert words in pages_of(answer.content)[0]


def test_a_paper_that_is_not_there_is_not_found(manager):
    row = bought(seller_invoice="17")
    assert manager.get(reverse("sales:receipt", args=(row.number,))).status_code == 404
    assert manager.get(reverse("sales:invoice", args=("SI0001",))).status_code == 404
    assert manager.get(reverse("sales:credit_note", args=("CN0001",))).status_code == 404


def test_costs_are_hidden_from_who_may_not_see_them():
    row = in_stock(price="613.37")
    sold(row, price="922.22", fees_net=Decimal("11.11"))
    assert_only_who_may_sees_costs(reverse("sales:list"), "£613.37")
    page = reverse("sales:row", args=(row.number,))
    assert_only_who_may_sees_costs(page, "£613.37", "£308.85", "£11.11")
    desk = Client()
    sign_in(desk, desk=True)
    assert "£922.22" in body(desk.get(page))


def test_the_list_is_searched_and_narrowed(desk):
    sale = sold(buyer_name="Quentin Rare")
    here = in_stock()
    url = reverse("sales:list")
    page = body(desk.get(url, {"stands": "sold"}))
    assert reverse("sales:row", args=(sale.purchase.number,)) in page
    assert reverse("sales:row", args=(here.number,)) not in page
    page = body(desk.get(url, {"stands": "stock"}))
    assert reverse("sales:row", args=(here.number,)) in page
    assert "for sale" in page
    page = body(desk.get(url, {"q": "rare SI0001"}))
    assert reverse("sales:row", args=(sale.purchase.number,)) in page
    assert reverse("sales:row", args=(here.number,)) not in page


def test_what_is_bought_and_not_entered_waits_for_the_manager():
    check = decided()
    url = reverse("sales:buy", args=(check.bike_id,))
    for role, there in (("manager", True), ("desk", False), ("accountant", False)):
        client = Client()
        sign_in(client, **{role: True})
        assert (url in body(client.get(reverse("sales:list")))) is there


def test_queries_do_not_grow_with_the_rows(manager):
    url = reverse("sales:list")
    for _ in range(2):
        sold()
        in_stock()
    few = queries_of(manager, url), queries_of(manager, reverse("sales:row", args=("S0001",)))
    for _ in range(3):
        sold()
        in_stock()
    assert queries_of(manager, url) == few[0]
    sale = Sale.objects.get(purchase__number="S0001")
    returned(sale, to_bench=False)
    sold(sale.purchase, price="890", sold_on=sale.credit_note.returned_on)
    assert queries_of(manager, reverse("sales:row", args=("S0001",))) == few[1]


def test_the_bikes_page_leads_on(manager):
    check = decided()
    page = reverse("bikes:detail", args=(check.bike_id,))
    assert reverse("sales:buy", args=(check.bike_id,)) in body(manager.get(page))
    row = bought(check=check)
    shown = body(manager.get(page))
    assert "can’t be sold yet" in shown
    assert reverse("sales:row", args=(row.number,)) in shown
    Bike.objects.update(stage=Stage.RELEASED)
    assert reverse("sales:sell", args=(row.number,)) in body(manager.get(page))
    sold(row)
    assert "sold on 5 March 2026 for £900.00" in " ".join(body(manager.get(page)).split())


def test_a_customers_bike_has_no_such_section(manager):
    bike = BikeFactory.create(repair=True)
    assert "Stock book" not in body(manager.get(reverse("bikes:detail", args=(bike.pk,))))


def test_the_first_page_tells_how_many_are_for_sale(manager):
    trading_shop()
    assert "Bikes for sale" not in body(manager.get(reverse("home")))
    in_stock()
    bought()
    decided()
    page = " ".join(body(manager.get(reverse("home"))).split())
    assert "<strong>2</strong> in stock, <strong>1</strong> of them released" in page
    assert "1 bought and not in the stock book yet" in page
