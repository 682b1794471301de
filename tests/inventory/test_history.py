"""What was changed, in words."""

import datetime as dt
from decimal import Decimal

import pytest
from django.utils import timezone

from inventory.history import history_of
from tests.factories.bikes import BikeFactory
from tests.factories.labour import (
    AccessStepFactory,
    OperationFactory,
    RemedyFactory,
    RemedyPartFactory,
)
from tests.factories.parts import PartFactory
from tests.factories.people import CustomerFactory
from tests.factories.shop import ShopFactory
from workshop.labour.models import RemedyOperation, RemedyPart

pytestmark = pytest.mark.django_db


@pytest.fixture
def shop():
    return ShopFactory.create()


def words(entries):
    return [f"{each.label}: {each.old} → {each.new}" for entry in entries for each in entry.changes]


def test_values_are_written_as_people_read_them(shop):
    bike = BikeFactory.create(customer=CustomerFactory.create(name="Ada"))
    bike.customer = CustomerFactory.create(name="Bo")
    bike.use, bike.has_rack = "hard", True
    bike.asking_price, bike.maker_year, bike.note = Decimal("12.5"), None, "cracked"
    bike.save()
    assert set(words(history_of(bike, shop))) == {
        "customer or seller: Ada → Bo",
        "use: everyday: commuting in all weathers → hard: courier, hire or left outdoors",
        "has a rack: no → yes",
        "asking price: – → £12.50",
        "maker's year: 2019 → –",
        "note: – → cracked",
    }


def test_the_newest_stands_first_and_the_first_says_entered(shop):
    bike = BikeFactory.create()
    bike.colour = "teal"
    bike.save()
    assert [entry.kind for entry in history_of(bike, shop)] == ["changed", "entered"]


def test_a_save_without_a_change_is_not_told(shop):
    bike = BikeFactory.create()
    bike.save()
    assert [entry.kind for entry in history_of(bike, shop)] == ["entered"]


def test_hidden_fields_are_not_told(shop):
    bike = BikeFactory.create()
    bike.asking_price = 99
    bike.save()
    assert words(history_of(bike, shop, hide=("asking_price",))) == []


def test_who_is_gone_is_said_to_be_gone(shop):
    ada, bo = CustomerFactory.create(), CustomerFactory.create(name="Bo")
    bike = BikeFactory.create(customer=ada)
    bike.customer = bo
    bike.save()
    ada.delete()
    assert words(history_of(bike, shop)) == ["customer or seller: one that is gone → Bo"]


def test_only_so_many_are_told_without_inventing_a_first(shop):
    bike = BikeFactory.create()
    for year in range(2000, 2010):
        bike.maker_year = year
        bike.save()
    entries = history_of(bike, shop, most=4)
    assert [entry.kind for entry in entries] == ["changed"] * 4


def test_rows_that_belong_to_a_record_are_told_with_it(shop):
    press = OperationFactory.create(name="Press")
    remedy = RemedyFactory.create(does=[press])
    bush = PartFactory.create(name="Bush", code="bush")
    row = RemedyPartFactory.create(remedy=remedy, operation=press, part=bush)
    row.quantity = 4
    row.save()
    row.delete()
    RemedyFactory.create(does=[press])
    told = words(
        history_of(remedy, shop, rows_of=(("remedy", RemedyOperation), ("remedy", RemedyPart)))
    )
    assert told == [
        "remedy operation: – → Press · 1 · 1",
        "remedy part: – → Press · Bush (bush) · 1",
        "remedy part: Press · Bush (bush) · 1 → Press · Bush (bush) · 4",
        "remedy part: Press · Bush (bush) · 4 → –",
    ]


def test_links_to_many_are_told_once_a_save(shop):
    wheel, cranks = AccessStepFactory.create(name="Wheel"), AccessStepFactory.create(name="Cranks")
    operation = OperationFactory.create(access=[wheel])
    operation.history.update(history_date=timezone.now() - dt.timedelta(days=1))
    operation.minutes = 25
    operation.save()
    operation.access.set([cranks])
    entries = history_of(operation, shop)
    assert [entry.kind for entry in entries] == ["changed", "entered"]
    assert words(entries) == ["standard time, minutes: 10 → 25", "access steps: Wheel → Cranks"]


def test_links_take_as_many_queries_for_much_as_for_little(shop, django_assert_num_queries):
    operation = OperationFactory.create(access=[AccessStepFactory.create()])
    with django_assert_num_queries(4):  # the entries, bands, access steps, what is made needless
        history_of(operation, shop)
    for days in range(12):
        operation.access.add(AccessStepFactory.create())
        newest = operation.history.order_by("history_id").last()
        newest.history_date += dt.timedelta(days=days)
        newest.save()
    with django_assert_num_queries(4):
        assert len(history_of(operation, shop)) > 10


def test_a_record_loaded_without_history_has_none(shop):
    part = PartFactory.create()
    part.history.all().delete()
    assert history_of(part, shop) == ()


def test_it_takes_as_many_queries_for_much_as_for_little(shop, django_assert_num_queries):
    bike = BikeFactory.create()
    with django_assert_num_queries(3):  # the entries, customers, who booked in
        history_of(bike, shop)
    for year in range(2000, 2015):
        bike.maker_year, bike.customer = year, CustomerFactory.create()
        bike.save()
    with django_assert_num_queries(3):
        history_of(bike, shop)
