"""Plans held against pricing and the catalogue, and what they ask of the database."""

from __future__ import annotations

import random
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from quotes.core.lines import Job, Kind
from quotes.core.pricing import price
from quotes.planning.asked import task_of_inspection
from quotes.planning.choices import choices_for
from quotes.planning.models import ServicePackage
from quotes.planning.plans import plan_for
from quotes.quoting.models import Revision
from quotes.quoting.selectors.book import price_book_on, works_of
from tests.factories import quotes as made
from tests.factories.bikes import BikeFactory
from workshop.core.judgement import Importance
from workshop.inspections.models import Fault, Inspection
from workshop.labour.models import Operation as OperationRow
from workshop.shop.selectors import current_shop

pytestmark = pytest.mark.django_db

SHARED = {Kind.LABOUR, Kind.ACCESS, Kind.PART}


def random_inspection(dice, faults):
    """An inspection of some bike on which up to twelve faults of the catalogue were found."""
    bike = {
        "frame": dice.choice(["folding", "diamond"]),
        "brake": dice.choice(["rim", "disc"]),
        "gears": dice.choice(["derailleur", "hub"]),
    }
    picked = dice.sample(faults, dice.randint(3, 12))
    inspection = made.inspected(*picked, **bike)
    judgements = ["watch", "needs_work", "unsafe"]
    for check in inspection.checks.all():
        judgement = dice.choice(judgements)
        check.findings.update(judgement=judgement, rule_judgement=judgement)
    return Inspection.objects.select_related("bike").get(pk=inspection.pk)


def priced_by_hand(page, works, book, *, by_cost):
    """What pricing prints for the plan's choices: labour, access and parts."""
    jobs = [
        Job(
            each.asked.key,
            Importance.SHOULD,
            each.remedy.name,
            works[each.remedy.pk].operations,
            works[each.remedy.pk].parts,
        )
        for each in page.chosen
    ]
    lines = [line for line in price(jobs, book).lines if line.kind in SHARED]
    return sum((line.cost_net if by_cost else line.net for line in lines), Decimal(0))


@pytest.mark.parametrize("by_cost", [True, False])
def test_a_plan_costs_what_pricing_prints_on_30_random_bikes(catalogue, by_cost):
    made.priced_shop()
    shop, dice = current_shop(), random.Random(7)
    faults = list(Fault.objects.filter(deal_breaker=False).order_by("pk"))
    book = price_book_on(BikeFactory.create().booked_in_at.date(), shop)
    planned = 0
    for _ in range(30):
        inspection = random_inspection(dice, faults)
        page = plan_for(inspection, shop, by_cost=by_cost)
        assert not page.conflict
        works = works_of((each.remedy.pk for each in page.chosen), inspection.bike)
        assert page.amount == priced_by_hand(page, works, book, by_cost=by_cost)
        assert page.plain_sum >= page.amount
        planned += len(page.chosen)
    assert planned > 150


def test_the_catalogues_covers_are_the_same_however_they_are_followed(catalogue):
    """What covers an operation covers what that one covers, and no two cover each other."""
    covers = {
        row.code: {each.code for each in row.covers.all()}
        for row in OperationRow.objects.prefetch_related("covers")
    }
    for code, covered in covers.items():
        for other in covered:
            assert code not in covers[other], (code, other)
            assert covers[other] <= covered, (code, other)


def test_the_catalogue_brings_packages_that_fit_their_faults(catalogue):
    rows = ServicePackage.objects.select_related("remedy").prefetch_related("faults")
    assert len(rows) >= 6
    for row in rows:
        assert len(row.faults.all()) >= row.at_least


def test_a_long_walk_is_planned_with_as_many_queries_as_a_short_one():
    made.priced_shop()
    counts = []
    for count, name in ((2, "few"), (12, "many")):
        revision = made.draft(*made.many(count, name=name))
        revision = Revision.objects.select_related("quote__bike").get(pk=revision.pk)
        shop = current_shop()
        with CaptureQueriesContext(connection) as queries:
            plan_for(revision, shop)
        counts.append(len(queries))
    assert counts[0] == counts[1]


def test_choices_of_an_inspection_are_those_a_quote_would_propose():
    made.priced_shop()
    inspection = made.inspected(made.fault("hub-play", made.remedy("hub-adjust")))
    choices = choices_for(task_of_inspection(inspection))
    assert [each.remedy_name for each in choices.open] == ["Hub adjust"]
