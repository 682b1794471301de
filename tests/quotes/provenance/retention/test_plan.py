"""What is due on a day, and what is kept although it is."""

import datetime as dt

import pytest

from quotes.provenance.models import ProvenanceCheck, RetentionKind
from quotes.provenance.retention import customers
from quotes.provenance.retention.plan import plan_on
from quotes.provenance.verbs.note_seller import note_seller
from quotes.quoting.verbs.send import send
from tests.factories.bikes import BikeFactory
from tests.factories.people import CustomerFactory, UserFactory
from tests.factories.provenance import opened, passed, refused, rules, seen
from tests.factories.quotes import draft
from workshop.bikes.models import Stage

pytestmark = pytest.mark.django_db

TODAY = dt.date(2026, 5, 20)
NOT_BOUGHT, BOUGHT = RetentionKind.NOT_BOUGHT, RetentionKind.BOUGHT
IDLE, DEALT = RetentionKind.IDLE, RetentionKind.DEALT


def due(*kinds):
    return plan_on(TODAY).pks(*kinds)


@pytest.mark.parametrize(("day", "is_due"), [("2025-11-19", True), ("2025-11-20", False)])
def test_who_was_refused_is_due_after_the_rules_months(on, day, is_due):
    rules(not_bought=6)
    on(day)
    check = refused()
    on("2026-05-20")
    assert due(NOT_BOUGHT) == ([check.identity.pk] if is_due else [])
    assert due(BOUGHT) == []


def test_a_check_never_finished_counts_from_its_beginning(on):
    rules(not_bought=6)
    on("2025-01-01")
    check = opened()
    note_seller(check, seen())
    on("2026-05-20")
    assert len(due(NOT_BOUGHT)) == 1


def test_who_sold_us_a_bike_is_kept_for_years_after_its_record_last_changed(on, buy):
    rules(not_bought=6, bought=72)
    on("2019-01-01")
    check = passed()
    bike = buy(check)
    on("2026-05-20")
    assert due(NOT_BOUGHT, BOUGHT) == [check.identity.pk]
    on("2025-01-01")
    bike.stage = Stage.LEFT
    bike.save()
    on("2026-05-20")
    assert due(NOT_BOUGHT, BOUGHT) == []


def test_without_a_rule_nothing_is_due(on):
    on("2001-01-01")
    refused()
    CustomerFactory.create()
    on("2026-05-20")
    plan = plan_on(TODAY)
    assert plan.count == 0
    assert [part.rule for part in plan.sections] == [None] * len(RetentionKind)


def test_a_customer_on_whom_nothing_hangs_is_due(on):
    rules(idle=24)
    on("2024-05-19")
    idle = CustomerFactory.create()
    BikeFactory.create()
    on("2024-05-21")
    CustomerFactory.create()
    on("2026-05-20")
    assert due(IDLE) == [idle.pk]


def test_a_customer_is_due_years_after_the_last_thing_that_happened(on):
    rules(dealt=72)
    on("2019-01-01")
    old = BikeFactory.create(repair=True).customer
    late = BikeFactory.create(repair=True)
    on("2021-01-01")
    late.note = "came again"
    late.save()
    on("2026-05-20")
    assert due(DEALT) == [old.pk]


def test_a_quote_of_late_keeps_its_customer(on):
    rules(dealt=72)
    on("2020-02-01")
    revision = draft()
    on("2026-05-20")
    assert due(DEALT) == [revision.quote.customer_id]
    on("2026-05-19")
    send(revision, UserFactory.create(desk=True))
    on("2026-05-20")
    assert due(DEALT) == []


def test_what_was_sent_is_named_as_kept_with_the_reason(on):
    rules(dealt=72)
    on("2020-02-01")
    revision = draft()
    send(revision, UserFactory.create(desk=True))
    on("2026-05-20")
    plan = plan_on(TODAY)
    assert plan.pks(DEALT) == [revision.quote.customer_id]
    (kept,) = plan.kept
    assert kept.what.startswith(f"{revision.quote.number} revision 1: the PDF as it was sent")
    assert "kept as it is" in kept.why


def test_a_seller_whose_identity_is_not_due_is_not_anonymised(on, buy):
    rules(dealt=12, bought=72, not_bought=6)
    on("2024-01-01")
    check = passed()
    buy(check)
    on("2026-05-20")
    assert due(DEALT) == []
    on("2016-01-01")
    other = refused()
    on("2026-05-20")
    assert due(DEALT) == [other.seller_id]


def test_a_customer_in_records_of_another_room_is_held_back_and_named(on, monkeypatch):
    rules(dealt=72)
    on("2019-01-01")
    bike = BikeFactory.create()
    on("2026-05-20")
    known = tuple(each for each in customers.KNOWN if each is not ProvenanceCheck)
    monkeypatch.setattr(customers, "KNOWN", known)
    assert due(DEALT) == [bike.customer_id]
    on("2019-01-01")
    opened(bike)
    on("2026-05-20")
    plan = plan_on(TODAY)
    assert plan.pks(DEALT) == []
    assert f"Customer {bike.customer_id}" in plan.kept[0].what
    assert plan.kept[0].why == "stands in provenance checks"


def test_a_plan_takes_as_many_queries_for_many_as_for_few(on, django_assert_num_queries):
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    rules(dealt=72, bought=72, not_bought=6, idle=24)
    on("2016-01-01")
    refused()
    CustomerFactory.create()
    on("2026-05-20")
    with CaptureQueriesContext(connection) as few:
        plan_on(TODAY)
    on("2016-01-01")
    for _ in range(6):
        refused()
    CustomerFactory.create_batch(6)
    on("2026-05-20")
    with django_assert_num_queries(len(few)):
        assert plan_on(TODAY).count == 21
