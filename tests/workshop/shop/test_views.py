"""The page about the shop."""

from decimal import Decimal

import pytest
from django.db import IntegrityError, transaction
from django.test import Client
from django.urls import reverse

from tests.asking import queries_of
from tests.factories.people import sign_in
from tests.factories.shop import ShopFactory
from workshop.shop.models import Shop

pytestmark = pytest.mark.django_db

PAGE = reverse("shop:edit")


@pytest.fixture
def manager(client):
    client.person = sign_in(client, manager=True)
    return client


def typed(**more):
    return {
        "name": "The Folding Yard",
        "address": "1 Invented Lane",
        "country": "GB",
        "currency": "GBP",
        "locale": "en_GB",
        "vat_registered": "on",
        "vat_number": "GB 980 7806 84",
        "resale_scheme": "margin",
        "quote_valid_days": "30",
        "sundries_share": "3",
        "sundries_min_net": "1,50",
        "sundries_max_net": "£15",
        "target_margin_net": "80",
        "selling_fee_share": "5 %",
        "selling_fee_net": "0",
        "warranty_share": "2.5",
        "confidence": "80",
        "opening_share": "80",
        "opening_step": "5",
        "must_do_resale_share": "85",
        "parts_resale_share": "35",
        "strip_minutes": "90",
        "waiting_day_net": "1",
        "usual_lead_days": "5",
    } | more


def test_the_first_shop_is_saved(manager):
    assert manager.get(PAGE).status_code == 200
    response = manager.post(PAGE, typed(), follow=True)
    assert "The shop is saved." in response.content.decode()
    shop = Shop.objects.get()
    assert shop.vat_number == "GB980780684"
    assert (shop.sundries_min_net, shop.sundries_max_net) == (Decimal("1.5"), 15)


def test_per_cent_on_the_page_are_fractions_inside(manager):
    manager.post(PAGE, typed())
    shop = Shop.objects.get()
    assert (shop.selling_fee_share, shop.warranty_share) == (Decimal("0.05"), Decimal("0.025"))
    page = manager.get(PAGE).content.decode()
    assert 'name="selling_fee_share" value="5"' in page
    assert 'name="warranty_share" value="2.5"' in page


def test_amounts_stand_with_the_shops_sign(manager):
    ShopFactory.create(currency="EUR", locale="de_DE")
    assert "€" in manager.get(PAGE).content.decode()


@pytest.mark.parametrize(
    ("more", "field", "words"),
    [
        ({"name": ""}, "name", "required"),
        ({"vat_number": ""}, "vat_number", "Write it, or untick"),
        ({"vat_number": "GB980780685"}, "vat_number", "no VAT number of United Kingdom: its check"),
        ({"vat_number": "GB980780684", "country": "DE"}, "vat_number", "of Germany"),
        ({"resale_scheme": "none"}, "resale_scheme", "Choose one"),
        ({"vat_registered": ""}, "resale_scheme", "Choose “not registered for VAT”"),
        ({"currency": "DEM"}, "currency", "not one of the available choices"),
        ({"locale": "en_XX"}, "locale", "not one of the available choices"),
        ({"country": "XX"}, "country", "not one of the available choices"),
        ({"quote_valid_days": "0"}, "quote_valid_days", "can't stand for 0 days"),
        ({"quote_valid_days": "400"}, "quote_valid_days", "Write 1 to 365"),
        ({"sundries_share": "105"}, "sundries_share", "from 0 to 100"),
        ({"selling_fee_share": "a tenth"}, "selling_fee_share", "such as 5 or 2.5"),
        ({"sundries_min_net": "20"}, "sundries_max_net", "less than the least"),
        ({"target_margin_net": "a lot"}, "target_margin_net", "“a lot” is not a price"),
        ({"target_margin_net": "-5"}, "target_margin_net", "below zero"),
        ({"waiting_day_net": "-1"}, "waiting_day_net", "below zero"),
        ({"waiting_day_net": ""}, "waiting_day_net", "required"),
        ({"usual_lead_days": "366"}, "usual_lead_days", "less than or equal to 365"),
        ({"usual_lead_days": "-1"}, "usual_lead_days", "greater than or equal to 0"),
        ({"email": "at home"}, "email", "valid email"),
    ],
)
def test_what_is_wrong_is_said_at_its_field_and_nothing_is_saved(manager, more, field, words):
    ShopFactory.create(name="Before")
    response = manager.post(PAGE, typed(**more))
    assert response.status_code == 422
    assert words in " ".join(response.context["form"].errors[field])
    assert Shop.objects.get().name == "Before"


def test_what_waiting_is_worth_is_set_and_explained(manager):
    ShopFactory.create()
    page = manager.get(PAGE).content.decode()
    assert "0 leaves waiting out of it." in page
    assert "A supplier’s own lead time comes first." in page
    manager.post(PAGE, typed(waiting_day_net="2,50", usual_lead_days="8"))
    shop = Shop.objects.get()
    assert (shop.waiting_day_net, shop.usual_lead_days) == (Decimal("2.5"), 8)


def test_waiting_is_worth_something_until_the_shop_says_otherwise(db):
    shop = Shop()
    assert (shop.waiting_day_net, shop.usual_lead_days) == (Decimal("1.00"), 5)


@pytest.mark.parametrize("wrong", [{"waiting_day_net": -1}, {"usual_lead_days": 366}])
def test_the_database_refuses_an_implausible_wait(wrong):
    ShopFactory.create()
    with pytest.raises(IntegrityError), transaction.atomic():
        Shop.objects.update(**wrong)


def test_a_shop_that_is_not_registered_needs_no_number(manager):
    response = manager.post(PAGE, typed(vat_registered="", vat_number="", resale_scheme="none"))
    assert response.status_code == 302
    assert Shop.objects.get().resale_scheme == "none"


def test_the_history_says_who_changed_what(manager):
    ShopFactory.create(target_margin_net=80, selling_fee_share=Decimal("0.1"))
    manager.post(PAGE, typed(target_margin_net="95,50"))
    page = manager.get(PAGE).content.decode()
    assert f"by {manager.person}" in page
    assert "target profit per bike: £80.00 → £95.50" in page
    assert "selling fees, share of price: 10 % → 5 %" in page


def test_the_accountant_sees_it_all_closed():
    ShopFactory.create()
    client = Client()
    sign_in(client, accountant=True)
    page = client.get(PAGE).content.decode()
    assert "Only the manager changes this." in page
    assert page.count("disabled") >= 20
    assert "Save the shop" not in page
    assert client.post(PAGE, typed(name="Mine")).status_code == 403


def test_a_long_history_runs_as_many_queries_as_a_short_one(manager):
    shop = ShopFactory.create()
    manager.post(PAGE, typed())
    few = queries_of(manager, PAGE)
    for days in range(1, 15):
        shop.quote_valid_days = days
        shop.save()
    assert queries_of(manager, PAGE) == few
