"""How late suppliers' orders came: by working days, of what has come whole."""

import datetime as dt
from unittest import mock

import pytest
from django.utils import timezone

from inventory.purchasing.lateness import LOOKED_AT, lateness_of
from inventory.purchasing.verbs.close import close
from tests.factories.people import UserFactory
from tests.factories.purchasing import came, came_late, ordered, sold
from tests.factories.suppliers import SupplierFactory

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _printed_quickly(monkeypatch):
    monkeypatch.setattr("inventory.paper.press.pdf_of", lambda html: b"%PDF")


@pytest.fixture
def supplier():
    return SupplierFactory.create(lead_days=3)


def weeks_ago(weeks):
    return timezone.now() - dt.timedelta(weeks=weeks)


def late(*suppliers):
    found = lateness_of([each.pk for each in suppliers], timezone.localdate())
    return {each: sorted(found.get(each.pk, ())) for each in suppliers}


def test_each_order_counts_once_by_working_days_after_its_day(supplier):
    other = SupplierFactory.create(lead_days=3)
    for days in (0, 2, 5):
        came_late(supplier, days, ordered_on=weeks_ago(6))
    came_late(other, 1, ordered_on=weeks_ago(6))
    assert late(supplier, other) == {supplier: [0, 2, 5], other: [1]}


def test_what_came_early_came_in_time(supplier):
    with mock.patch("django.utils.timezone.now", return_value=weeks_ago(6)):
        order = ordered(sold(supplier=supplier))
    came(order, 2, came_on=timezone.localdate(order.ordered_at))
    assert late(supplier)[supplier] == [0]


def test_an_order_is_there_when_the_last_of_it_is(supplier):
    with mock.patch("django.utils.timezone.now", return_value=weeks_ago(6)):
        order = ordered(sold(supplier=supplier))
    came(order, 1, came_on=order.expected_on)
    assert late(supplier)[supplier] == []
    came(order, 1, came_on=order.expected_on + dt.timedelta(days=7))
    assert late(supplier)[supplier] == [5]


def test_what_never_came_whole_tells_nothing(supplier):
    order = ordered(sold(supplier=supplier))
    came(order, 1)
    close(order, by=UserFactory.create(), reason="no longer made")
    assert late(supplier)[supplier] == []


def test_without_an_expected_day_nothing_is_late():
    supplier = SupplierFactory.create(lead_days=None)
    came(ordered(sold(supplier=supplier)), 2)
    assert late(supplier)[supplier] == []


def test_what_came_long_ago_tells_nothing(supplier):
    came_late(supplier, 2, ordered_on=timezone.now() - LOOKED_AT - dt.timedelta(days=30))
    assert late(supplier)[supplier] == []


def test_one_query_for_all(supplier, django_assert_num_queries):
    others = SupplierFactory.create_batch(2, lead_days=3)
    for each in (supplier, *others):
        came_late(each, 1, ordered_on=weeks_ago(6))
    with django_assert_num_queries(1):
        late(supplier, *others)
    with django_assert_num_queries(0):
        assert lateness_of([], timezone.localdate()) == {}
