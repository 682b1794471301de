"""The buyer of a sale: a customer found, somebody new who becomes one, or only a name."""

import datetime as dt

import pytest
from django.urls import reverse

from quotes.provenance.models import RetentionKind
from quotes.provenance.retention.plan import plan_on
from quotes.provenance.verbs.apply_retention import apply_retention
from quotes.sales.models import Party, Sale
from tests.factories.people import CustomerFactory, sign_in
from tests.factories.provenance import rules
from tests.factories.sales import in_stock, returned, sold
from workshop.bikes.models import Bike
from workshop.bikes.verbs.owners import hand_back
from workshop.customers.models import Customer

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shop")]
SALE = {
    "sold_on": "2026-05-20",
    "price": "900",
    "payment": "card",
    "warranty_months": "6",
    "channel": "shop",
    "condition": "4",
}


@pytest.fixture
def row():
    return in_stock()


@pytest.fixture
def ben():
    return CustomerFactory.create(name="Ben Frost", address="8 Quay", phone="0161 496 0000")


@pytest.fixture
def desk(client):
    sign_in(client, desk=True)
    return client


def post(desk, row, **fields):
    return desk.post(reverse("sales:sell", args=(row.number,)), SALE | fields)


# the verb


def test_the_bike_is_the_customers_from_then_on(row, ben):
    sale = sold(row, customer=ben)
    assert Bike.objects.get().customer == ben
    assert (sale.buyer.name, Customer.objects.count()) == ("Ben Frost", 2)


def test_somebody_new_is_saved_with_the_sale(row):
    sold(row, customer=Customer(name="Ida Low", phone="0161 496 0001"))
    assert Bike.objects.get().customer == Customer.objects.get(name="Ida Low")


def test_without_a_customer_only_the_book_names_the_buyer(row):
    before = row.bike.customer
    sold(row)
    assert Bike.objects.get().customer == before
    assert Customer.objects.count() == 1


def test_taken_back_it_is_with_whom_it_was_before(row, ben):
    before = row.bike.customer
    returned(sold(row, customer=ben))
    assert Bike.objects.get().customer == before


def test_where_that_record_is_gone_it_stays_with_the_buyer(row, ben):
    before = row.bike.customer
    sale = sold(row, customer=ben)
    before.delete()
    assert hand_back(Bike.objects.get(), sale.at).customer == ben


# the page


def test_a_customer_is_found_and_gives_name_and_address(desk, row, ben):
    form = {"find": "frost", "look": "1", "buyer_name": ""}
    page = post(desk, row, **form).content.decode()
    assert f'value="{ben.pk}"' in page
    assert "Ben Frost" in page
    assert not Sale.objects.exists()
    post(desk, row, find="frost", customer=ben.pk)
    party = Sale.objects.get().buyer
    assert (party.name, party.address) == ("Ben Frost", "8 Quay")
    assert Bike.objects.get().customer == ben


def test_the_search_answers_in_place(desk, row, ben):
    url = reverse("sales:sell", args=(row.number,))
    part = desk.get(url, {"find": "0161 4960000"}, headers={"HX-Request": "true"}).content.decode()
    assert "Ben Frost" in part
    assert "<html" not in part


def test_what_was_typed_is_kept_while_looking(desk, row, ben):
    page = post(desk, row, look="1", find="nobody", buyer_name="Ida Low", price="877")
    assert page.context["form"]["buyer_name"].value() == "Ida Low"
    assert page.context["form"]["price"].value() == "877"
    assert "Nobody like that" in page.content.decode()


def test_the_invoice_may_bear_another_name(desk, row, ben):
    post(desk, row, customer=ben.pk, buyer_name="Frost & Sons", buyer_address="1 Dock")
    party = Sale.objects.get().buyer
    assert (party.name, party.address) == ("Frost & Sons", "1 Dock")
    assert Bike.objects.get().customer == ben


def test_somebody_new_becomes_a_customer_where_that_is_ticked(desk, row):
    new = {"buyer_name": "Ida Low", "buyer_address": "2 Lane", "new_phone": "0161 496 0001"}
    post(desk, row, becomes_customer="on", **new)
    ida = Customer.objects.get(name="Ida Low")
    assert (ida.address, ida.phone) == ("2 Lane", "0161 496 0001")
    assert Bike.objects.get().customer == ida


def test_not_ticked_nobody_is_kept_but_in_the_book(desk, row):
    post(desk, row, buyer_name="Ida Low", buyer_address="2 Lane")
    assert Sale.objects.get().buyer.name == "Ida Low"
    assert not Customer.objects.filter(name="Ida Low").exists()


def test_who_is_known_already_is_offered_and_not_kept_twice(desk, row, ben):
    answer = post(desk, row, becomes_customer="on", buyer_name="ben frost", new_phone="01614960000")
    assert answer.status_code == 422
    assert "is known already" in answer.content.decode()
    assert not Sale.objects.exists()
    assert Customer.objects.filter(name__iexact="ben frost").count() == 1


def test_nobody_at_all_is_refused(desk, row):
    answer = post(desk, row)
    assert answer.status_code == 422
    assert "Find the customer above" in answer.content.decode()


# how long they are kept


def test_a_buyer_is_kept_as_any_customer_and_the_name_in_the_book_by_its_own_rule(row, ben):
    rules(dealt=24)
    sale = sold(row, customer=ben)
    since = Bike.objects.get().history.first().history_date.date()
    dealt = RetentionKind.DEALT
    assert ben.pk not in plan_on(since + dt.timedelta(days=700)).pks(dealt)
    late = since + dt.timedelta(days=800)
    assert ben.pk in plan_on(late).pks(dealt)
    apply_retention(late)
    ben.refresh_from_db()
    assert (ben.name, ben.address) == ("anonymised customer", "")
    assert Party.objects.get(sale=sale).name == "Ben Frost"
