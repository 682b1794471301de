"""How long parts keep one waiting: free on the shelf, lead times, parts never booked."""

import datetime as dt
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from inventory.stock.verbs.reserve import reserve
from inventory.stock.waiting import days_to_wait
from tests.factories.parts import PartFactory
from tests.factories.people import UserFactory
from tests.factories.stock import a_key, come_in, stocked, take
from tests.factories.suppliers import ArticleFactory, SupplierFactory

pytestmark = pytest.mark.django_db
D = Decimal
USUAL = 5


def wait(code, quantity=1):
    """Working days for some of one part."""
    return days_to_wait([(code, D(quantity))], USUAL)[code, D(quantity)]


def sold(part, lead_days, *, active=True, **article):
    """A supplier in use or not sells the part, after so many working days."""
    supplier = SupplierFactory.create(lead_days=lead_days, active=active)
    return ArticleFactory.create(supplier=supplier, part=part, **article)


@pytest.fixture
def in_use(db):
    """The ledger is in use: some other part was booked."""
    return stocked()


def test_what_is_on_the_shelf_keeps_nobody_waiting():
    sold(stocked(3, code="chain"), 2)
    assert wait("chain") == wait("chain", 3) == 0


def test_what_is_not_there_in_full_waits_for_the_supplier():
    sold(stocked(3, code="chain"), 2)
    assert wait("chain", "3.01") == 2


def test_what_others_have_reserved_does_not_count():
    part = stocked(3, code="chain")
    sold(part, 2)
    by = UserFactory.create()
    reserve(part, quantity=D(2), reference="B-0001", by=by, key=a_key())
    assert (wait("chain", 1), wait("chain", 2)) == (0, 2)


def test_what_has_been_used_up_waits():
    part = stocked(3, code="chain")
    take(part, 3)
    assert wait("chain") == USUAL


def test_the_quickest_supplier_counts(in_use):
    part = PartFactory.create(code="chain")
    for days in (9, 2, 4, None):
        sold(part, days)
    assert wait("chain") == 2


def test_a_supplier_who_has_it_at_once_keeps_nobody_waiting(in_use):
    sold(PartFactory.create(code="chain"), 0)
    assert wait("chain") == 0


@pytest.mark.parametrize(
    "told",
    [
        {"lead_days": None},
        {"lead_days": 1, "active": False},
        {"lead_days": 1, "valid_until": dt.date(2026, 2, 1)},
    ],
    ids=["no lead time", "supplier out of use", "no longer sold"],
)
def test_where_no_lead_time_is_known_the_usual_one_counts(in_use, told):
    sold(PartFactory.create(code="chain"), **told)
    assert wait("chain") == USUAL


def test_an_article_that_is_matched_with_another_part_does_not_count(in_use):
    PartFactory.create(code="chain")
    sold(PartFactory.create(code="hub"), 1)
    sold(None, 1)
    assert (wait("chain"), wait("hub")) == (USUAL, 1)


def test_while_nothing_was_booked_nothing_is_said():
    part = PartFactory.create(code="chain")
    sold(part, 2)
    assert days_to_wait([("chain", D(1))], USUAL) == {}
    come_in(PartFactory.create(), 1)
    assert wait("chain") == 2


def test_each_quantity_is_answered_by_itself():
    stocked(2, code="tube")
    pairs = [("tube", D(1)), ("tube", D(4)), ("tube", D(1))]
    assert days_to_wait(pairs, USUAL) == {("tube", D(1)): 0, ("tube", D(4)): USUAL}


def test_many_parts_take_three_queries_as_few_do(in_use):
    parts = [PartFactory.create() for _ in range(30)]
    for part in parts:
        sold(part, 3)
        come_in(part, 1)
    for some in (parts[:2], parts):
        with CaptureQueriesContext(connection) as queries:
            days_to_wait([(part.code, D(2)) for part in some], USUAL)
        assert len(queries) == 3
