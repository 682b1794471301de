"""Comparables out of the shop's own sales: kept, marked, not changed by hand."""

import datetime as dt
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.urls import reverse

from quotes.resale.models import Comparable, Grade, PriceKind
from quotes.resale.verbs.change import OwnSaleError, change_comparable
from quotes.resale.verbs.own_sale import OwnSale, forget_own_sale, note_own_sale
from quotes.resale.verbs.remove import remove_comparable
from tests.factories.bikes import BikeFactory
from tests.factories.people import UserFactory, sign_in
from tests.factories.resale import ComparableFactory
from tests.factories.shop import ShopFactory

pytestmark = pytest.mark.django_db


def own(number="SI0001", **fields):
    return OwnSale(
        **{
            "number": number,
            "bike": BikeFactory.create(),
            "price": Decimal(310),
            "sold_on": dt.date(2026, 3, 5),
            "days_on_shelf": 30,
            "condition": Grade.GOOD,
            "by": UserFactory.create(),
        }
        | fields
    )


def test_it_is_kept_as_a_price_that_was_paid():
    made = note_own_sale(own())
    assert (made.kind, made.price, made.is_own_sale) == (PriceKind.SOLD, 310, True)
    assert made.source == "own sale, invoice SI0001"
    assert not ComparableFactory.create().is_own_sale


def test_days_on_the_shelf_stay_plausible():
    assert note_own_sale(own(days_on_shelf=9999)).days_on_shelf == 3650


def test_one_sale_is_kept_once():
    note_own_sale(own())
    with pytest.raises((IntegrityError, ValidationError)), transaction.atomic():
        note_own_sale(own())


def test_it_goes_with_the_sale_alone():
    other = ComparableFactory.create()
    note_own_sale(own())
    forget_own_sale("SI0001")
    forget_own_sale("SI0002")
    assert list(Comparable.objects.all()) == [other]


def test_it_is_not_changed_or_removed_by_hand(client):
    ShopFactory.create()
    made = note_own_sale(own())
    for act in (lambda: change_comparable(made, price=1), lambda: remove_comparable(made)):
        with pytest.raises(OwnSaleError, match="SI0001"):
            act()
    sign_in(client, manager=True)
    for name in ("resale:edit", "resale:remove"):
        answer = client.post(reverse(name, args=(made.pk,)), follow=True)
        assert "it changes only with" in answer.content.decode()
    assert Comparable.objects.get().price == 310


def test_the_bikes_page_marks_it(client):
    ShopFactory.create()
    note_own_sale(own())
    sign_in(client, manager=True)
    page = client.get(reverse("resale:bike", args=(BikeFactory.create().pk,))).content.decode()
    assert "own sale</span>" in page
