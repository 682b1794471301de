"""What a margin check starts from."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from quotes.buyin.basis import WorkCost, basis_of, latest_revision, work_cost
from quotes.buyin.models import LeaveRule
from quotes.quoting.selectors.page import refurbishment_cost
from tests.factories.bikes import BikeFactory
from workshop.inspections.models import Fault

pytestmark = pytest.mark.django_db
RATES = {"standard": Decimal("0.2"), "zero": Decimal(0)}


def test_the_work_is_taken_at_the_shops_cost_by_what_it_is_spent_on(shop, bike, quoted):
    cost = work_cost(quoted(bike), shop, RATES)
    assert cost == WorkCost(
        labour=Decimal("9.10"),
        parts=Decimal("4.33"),
        sundries=Decimal("0.62"),
        by_hand=Decimal("5.00"),
    )
    assert cost.total == Decimal("19.05")


def test_it_adds_up_to_what_the_quotes_page_says(shop, bike, quoted):
    revision = quoted(bike)
    assert work_cost(revision, shop, RATES).total == refurbishment_cost(revision)


def test_a_shop_that_is_not_registered_pays_vat_on_all_but_wages(shop, bike, quoted):
    shop.vat_registered = False
    cost = work_cost(quoted(bike), shop, RATES)
    assert cost.labour == Decimal("9.10")
    assert cost.parts == Decimal("5.20")  # 4.33 × 1.2 = 5.196
    assert cost.sundries == Decimal("0.74")  # 0.62 × 1.2 = 0.744
    assert cost.by_hand == Decimal("6.00")


def test_the_newest_revision_of_the_newest_quote_counts(shop, bike, quoted):
    first, second = quoted(bike), quoted(bike)
    quoted(BikeFactory.create())
    assert latest_revision(bike) == second != first


def test_a_bike_that_nobody_looked_at_has_nothing_against_it(shop, bike):
    basis = basis_of(bike, shop)
    assert (basis.revision, basis.cost, basis.last) == (None, None, None)
    assert not basis.inspected
    assert (basis.deal_breakers, basis.leave_reasons) == ((), ())
    assert basis.vat_rate == Decimal("0.2")


def test_deal_breakers_of_the_last_inspection_are_named(shop, bike, found):
    found(bike, 1, "unsafe", deal_breaker=True)
    assert basis_of(bike, shop).deal_breakers == ("Place 0: Fault 0",)


@pytest.mark.parametrize(("count", "holds"), [(7, False), (8, True), (9, True)])
def test_many_small_faults_are_a_reason_to_leave(shop, bike, found, count, holds):
    LeaveRule.objects.create(
        code="many", words="Many small faults", from_judgement="watch", at_least=8
    )
    found(bike, count)
    reasons = basis_of(bike, shop).leave_reasons
    assert reasons == ((f"Many small faults ({count} findings).",) if holds else ())


def test_a_rule_for_one_fault_looks_at_no_other(shop, bike, found):
    found(bike, 3, "needs_work")
    rule = LeaveRule.objects.create(
        code="chain", words="Chain worn out", from_judgement="needs_work", at_least=1
    )
    rule.faults.set([Fault.objects.create(checkpoint_id=_point(), code="chain-worn", name="x")])
    assert basis_of(bike, shop).leave_reasons == ()
    rule.faults.add(Fault.objects.get(code="fault-1"))
    assert basis_of(bike, shop).leave_reasons == ("Chain worn out (1 finding).",)


def _point():
    """Return the pk of a checkpoint."""
    return Fault.objects.values_list("checkpoint_id", flat=True).first()


def test_a_rule_out_of_use_holds_for_nothing(shop, bike, found):
    LeaveRule.objects.create(
        code="any", words="Anything", from_judgement="watch", at_least=1, active=False
    )
    found(bike, 2)
    assert basis_of(bike, shop).leave_reasons == ()


def test_the_number_of_queries_does_not_grow(shop, found, quoted):
    counts = []
    for size in (1, 12):
        bike = BikeFactory.create()
        found(bike, size, code=f"of-{size}")
        quoted(bike)
        with CaptureQueriesContext(connection) as caught:
            basis_of(bike, shop)
        counts.append(len(caught))
    assert counts[0] == counts[1]
