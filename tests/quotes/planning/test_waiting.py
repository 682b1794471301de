"""Waiting for parts as a soft cost: who is preferred, for how much, and in which words."""

from __future__ import annotations

import random
from decimal import Decimal
from itertools import product

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from inventory.parts.models import Part
from inventory.stock.verbs.reserve import reserve
from quotes.planning.plans import plan_for
from quotes.planning.verbs.take import take_plan
from quotes.quoting.models import QuotedFinding, Revision
from tests.factories import quotes as made
from tests.factories.parts import PartFactory
from tests.factories.people import UserFactory
from tests.factories.planning import PlanLockFactory, package
from tests.factories.stock import a_key, come_in, stocked
from tests.factories.suppliers import ArticleFactory, SupplierFactory
from workshop.inspections.models import Fault
from workshop.labour.models import RemedyPart
from workshop.shop.models import Shop
from workshop.shop.selectors import current_shop

pytestmark = pytest.mark.django_db
D = Decimal


def fitting(code, pounds, **part):
    """A remedy whose part costs the shop and the customer so many pounds, and nothing else."""
    prices = {"cost_net": D(pounds), "price_net": D(pounds)}
    return made.remedy(code, minutes="0.0", part=f"{code}-part", **prices | part)


def part_of(remedy):
    return Part.objects.get(code=f"{remedy.code}-part")


def ordered(remedy, days):
    """The remedy's part comes so many working days after it is ordered."""
    ArticleFactory.create(part=part_of(remedy), supplier=SupplierFactory.create(lead_days=days))


def watched(*faults):
    """A draft on which the faults are only to be watched, so that any remedy will do."""
    revision = made.draft(*faults)
    QuotedFinding.objects.filter(revision=revision).update(judgement="watch", importance="could")
    return Revision.objects.select_related("quote__bike").get(pk=revision.pk)


def plan_of(revision, **how):
    return plan_for(revision, current_shop(), **{"by_cost": False} | how)


def codes(page):
    return [each.remedy.code for each in page.chosen]


@pytest.fixture
def two_ways(db):
    """Shelf for £12, which is there, and order for £10, which comes in 3 working days."""
    made.priced_shop()
    shelf, order = fitting("shelf", 12), fitting("order", 10)
    come_in(part_of(shelf), 1)
    ordered(order, 3)
    return watched(made.fault("rust", order, shelf))


# which is taken


@pytest.mark.parametrize("by_cost", [True, False])
def test_a_dearer_part_on_the_shelf_beats_a_cheaper_one_to_be_ordered(two_ways, by_cost):
    page = plan_of(two_ways, by_cost=by_cost)
    assert codes(page) == ["shelf"]
    assert (page.amount, page.waiting_less, page.waiting_day) == (D(12), D(2), D(1))
    assert page.chosen[0].difference == D(-2)


@pytest.mark.parametrize(
    ("day", "taken"), [("0.66", "order"), ("0.67", "shelf"), ("0", "order"), ("100", "shelf")]
)
def test_it_does_so_only_where_the_difference_is_less_than_the_waiting(two_ways, day, taken):
    Shop.objects.update(waiting_day_net=D(day))
    page = plan_of(two_ways)
    assert codes(page) == [taken]
    assert page.amount == {"shelf": D(12), "order": D(10)}[taken]


def test_without_a_lead_time_the_shops_usual_one_counts(two_ways):
    SupplierFactory._meta.model.objects.update(lead_days=None)
    Shop.objects.update(usual_lead_days=1)
    assert codes(plan_of(two_ways)) == ["order"]
    Shop.objects.update(usual_lead_days=4)
    page = plan_of(two_ways)
    assert codes(page) == ["shelf"]
    assert "waits about 4 working days" in page.chosen[0].why


def test_what_is_reserved_for_others_is_not_on_the_shelf(two_ways):
    part = Part.objects.get(code="shelf-part")
    by = UserFactory.create()
    reserve(part, quantity=D(1), reference="B-0001", by=by, key=a_key())
    page = plan_of(two_ways)
    assert codes(page) == ["order"]
    assert page.chosen[0].wait == "waits about 3 working days"


def test_a_remedy_that_fits_a_part_twice_needs_both_on_the_shelf(two_ways):
    fit = RemedyPart.objects.get(part__code="shelf-part")
    again = made.remedy("again", minutes="0.0").steps.get().operation
    fit.remedy.steps.create(operation=again, order=2)
    RemedyPart.objects.create(remedy=fit.remedy, operation=again, part=fit.part)
    Part.objects.filter(code="shelf-part").update(price_net=D(6))  # £12 for both, as before
    assert codes(plan_of(two_ways)) == ["order"]
    come_in(fit.part, 1)
    assert codes(plan_of(two_ways)) == ["shelf"]


def test_the_longest_wait_of_a_remedys_parts_counts_once(two_ways):
    fit = RemedyPart.objects.get(part__code="order-part")
    for days in (1, 2):
        part = PartFactory.create(price_net=D(0), cost_net=D(0))
        ArticleFactory.create(part=part, supplier=SupplierFactory.create(lead_days=days))
        RemedyPart.objects.create(remedy=fit.remedy, operation=fit.operation, part=part)
    Shop.objects.update(waiting_day_net=D("0.60"))  # 3 days: 1.80; all of them, 6 days: 3.60
    assert codes(plan_of(two_ways)) == ["order"]


def test_a_package_that_is_on_the_shelf_beats_remedies_that_wait():
    made.priced_shop()
    remedies = [fitting(f"r{n}", 5) for n in range(3)]
    service = fitting("service", 20)
    for each in remedies:
        ordered(each, 2)
    come_in(part_of(service), 1)
    faults = [made.fault(f"f{n}", each) for n, each in enumerate(remedies)]
    package("wheel-service", service, *faults)
    page = plan_of(watched(*faults))
    assert codes(page) == ["service"] * 3
    assert (page.amount, page.plain_sum, page.waiting_less, page.saving) == (20, 15, 5, 0)


def test_what_is_set_by_hand_waits(two_ways):
    row = made.row_of(two_ways, "rust")
    order = RemedyPart.objects.get(part__code="order-part").remedy
    PlanLockFactory.create(finding=row.finding, remedy=order, reason="as agreed")
    page = plan_of(two_ways)
    assert codes(page) == ["order"]
    assert page.chosen[0].why == "Set by hand: as agreed."
    assert page.chosen[0].wait == "waits about 3 working days"
    assert page.waiting_less == 0


def best_of_all(ways, days, day):
    """Amount and waiting together of the best choice, by trying every one."""
    worth = [sum(price + day * days[code] for code, price in choice) for choice in product(*ways)]
    return min(worth)


@pytest.mark.parametrize("seed", range(5))
def test_amount_and_waiting_together_are_the_least_of_all_choices(seed):
    dice = random.Random(seed)
    made.priced_shop()
    day = D(dice.choice(["0.50", "1.00", "2.35"]))
    Shop.objects.update(waiting_day_net=day)
    stocked()  # the ledger is in use
    ways, days, faults = [], {}, []
    for n in range(5):
        remedies = {f"r{n}-{m}": D(dice.randint(500, 1500)) / 100 for m in range(3)}
        rows = [fitting(code, price) for code, price in remedies.items()]
        for row in rows:
            days[row.code] = dice.choice([0, 1, 4, 9])
            if days[row.code]:
                ordered(row, days[row.code])
            else:
                come_in(part_of(row), 1)
        ways.append(list(remedies.items()))
        faults.append(made.fault(f"f{n}", *rows))
    page = plan_of(watched(*faults))
    waited = sum(days[code] for code in codes(page)) * day
    assert page.amount + waited == best_of_all(ways, days, day)
    least = sum(min(price for _, price in each) for each in ways)
    assert page.amount - page.waiting_less == least


# what is said


def test_where_waiting_decided_it_is_said(two_ways):
    each = plan_of(two_ways).chosen[0]
    assert each.wait == "on the shelf"
    assert each.why == (
        "Waiting decided: the next best, “Order”, is £2.00 cheaper but waits about 3 working "
        "days; this one is on the shelf."
    )


def test_where_both_cost_the_same_it_is_said_too(two_ways):
    Part.objects.update(price_net=D(10))
    assert plan_of(two_ways).chosen[0].why == (
        "Waiting decided: the next best, “Order”, costs as much but waits about 3 working days; "
        "this one is on the shelf."
    )


def test_what_waits_less_or_needs_no_parts_is_told_apart():
    made.priced_shop()
    stocked()
    slow, quick = fitting("slow", 10), fitting("quick", 11)
    ordered(slow, 8)
    ordered(quick, 1)
    page = plan_of(watched(made.fault("rust", slow, quick)))
    assert page.chosen[0].wait == "waits about 1 working day"
    assert page.chosen[0].why.endswith(
        "is £1.00 cheaper but waits about 8 working days; this one waits about 1 working day."
    )
    by_labour = made.remedy("by-labour", minutes="15.0")  # £12.00
    page = plan_of(watched(made.fault("bent", slow, by_labour)))
    assert page.chosen[0].wait == ""
    assert page.chosen[0].why.endswith("waits about 8 working days; this one needs no parts.")


def test_where_other_findings_would_wait_it_is_said():
    made.priced_shop()
    here, elsewhere, service = fitting("here", 5), fitting("elsewhere", 5), fitting("both", 12)
    come_in(part_of(here), 1)
    come_in(part_of(service), 1)
    ordered(elsewhere, 4)
    faults = made.fault("f0", here), made.fault("f1", elsewhere)
    package("wheel-service", service, *faults)
    why = plan_of(watched(*faults)).chosen[0].why
    assert why == (
        "Cures 2 findings together. Waiting decided: the next best, “Here”, is £2.00 cheaper, "
        "but with it other parts would be waited for longer."
    )


def test_where_money_decided_waiting_is_not_named(two_ways):
    Part.objects.filter(code="shelf-part").update(price_net=D(9))
    each = plan_of(two_ways).chosen[0]
    assert each.why == "£1.00 cheaper than the next best, “Order”."
    assert each.wait == "on the shelf"


def test_the_reason_is_kept_with_the_plan_that_is_taken(two_ways):
    by = UserFactory.create(manager=True)
    QuotedFinding.objects.update(remedy=RemedyPart.objects.get(part__code="order-part").remedy)
    kept = take_plan(two_ways, current_shop(), by_cost=False, amount=D(12), by=by)
    assert kept.amount == D(12)
    assert "Waiting decided" in kept.choices[0]["reason"]


# where nothing is known


def test_while_no_stock_is_kept_nobody_waits_and_nothing_is_said():
    made.priced_shop()
    dear, cheap = fitting("dear", 12), fitting("cheap", 10)
    ordered(cheap, 300)
    page = plan_of(watched(made.fault("rust", dear, cheap)))
    assert codes(page) == ["cheap"]
    assert (page.chosen[0].wait, page.waiting_day) == ("", 0)


def test_switched_off_nothing_is_said_and_nothing_asked(two_ways):
    with CaptureQueriesContext(connection) as on:
        plan_for(two_ways, Shop(pk=1))
    with CaptureQueriesContext(connection) as off:
        page = plan_for(two_ways, Shop(pk=1, waiting_day_net=D(0)))
    assert page.chosen[0].wait == ""
    assert len(on) - len(off) == 3


def test_many_parts_take_as_many_queries_as_few():
    made.priced_shop()
    stocked()
    shop, counts = current_shop(), []
    for many, name in ((2, "few"), (12, "more")):
        revision = watched(*made.many(many, name=name))
        with CaptureQueriesContext(connection) as queries:
            page = plan_for(revision, shop)
        assert {each.wait for each in page.chosen} == {"waits about 5 working days"}
        counts.append(len(queries))
    assert counts[0] == counts[1]


def test_a_bike_of_the_catalogue_is_planned_with_the_ledger_in_use(catalogue):
    """The choices differ by what is on the shelf; each plan still costs what it says."""
    made.priced_shop()
    Shop.objects.update(waiting_day_net=D(50))
    stocked()
    revision = watched(*Fault.objects.filter(deal_breaker=False).order_by("pk")[:12])
    patient = plan_for(revision, Shop(pk=1, waiting_day_net=D(0)))
    page = plan_for(revision, current_shop())
    assert page.amount - page.waiting_less == patient.amount
    assert page.waiting_less >= 0
    assert any(each.wait for each in page.chosen)
