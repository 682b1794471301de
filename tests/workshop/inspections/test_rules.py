"""Rows of the catalogue as the core judges by them."""

import datetime as dt
from decimal import Decimal

import pytest
from django.utils import timezone

from tests.factories.bikes import BikeFactory
from tests.factories.inspections import (
    CheckpointFactory,
    FaultFactory,
    InspectionFactory,
    JudgementRuleFactory,
    MeasureFactory,
)
from workshop.core.judgement import Judgement
from workshop.inspections.rules import asks_for_age, core_rule, core_rules, facts_for, facts_of

pytestmark = pytest.mark.django_db


def test_facts_give_age_use_and_build():
    bike = BikeFactory.build(maker_year=2016, use="hard", brake="disc", gears="both", customer=None)
    facts = facts_of(bike, dt.date(2026, 3, 1))
    assert (facts.age_years, facts.use, facts.frame) == (10, "hard", "folding")
    assert (facts.brakes, facts.gears) == ({"disc"}, "both")


def test_an_unknown_year_stays_unknown():
    bike = BikeFactory.build(maker_year=None, customer=None)
    assert facts_of(bike, dt.date(2026, 3, 1)).age_years is None


def test_the_age_is_that_of_the_day_the_walk_began_in_the_shops_own_time():
    inspection, point = InspectionFactory(bike__maker_year=2020), CheckpointFactory()
    inspection.started_at = dt.datetime(2025, 12, 31, 23, 30, tzinfo=dt.UTC)
    assert timezone.get_current_timezone_name() == "Europe/London"
    assert facts_for(inspection, point).age_years == 5
    inspection.started_at = dt.datetime(2025, 6, 30, 23, 30, tzinfo=dt.UTC)
    assert facts_for(inspection, point).age_years == 5


def test_a_row_keeps_every_condition_on_its_way_to_the_core():
    measure, minus = MeasureFactory(code="width"), MeasureFactory(code="width-new")
    row = JudgementRuleFactory(
        measure=measure,
        minus=minus,
        fault=FaultFactory(code="worn"),
        key="width-gone",
        version=3,
        at_least=Decimal("0.5"),
        below=Decimal(2),
        age_from=5,
        age_below=10,
        uses=["hard"],
        frames=["folding"],
        brakes=["rim"],
        gears=["hub"],
        judgement="unsafe",
        deal_breaker=True,
        source="a source",
    )
    rule = core_rule(row)
    assert (rule.key, rule.version) == ("width-gone", 3)
    assert (rule.measure, rule.minus, rule.fault) == ("width", "width-new", "worn")
    assert (rule.at_least, rule.below) == (Decimal("0.5"), Decimal(2))
    assert (rule.age_from, rule.age_below) == (5, 10)
    assert (rule.uses, rule.frames, rule.brakes, rule.gears) == (
        ("hard",),
        ("folding",),
        ("rim",),
        ("hub",),
    )
    assert rule.judgement is Judgement.UNSAFE
    assert rule.deal_breaker
    assert rule.source == "a source"


def test_each_core_rule_leads_back_to_its_row(hinge):
    rules = core_rules(hinge)
    assert {rule.key: row.key for rule, row in rules.items()} == {
        key: key for key in ("play-none", "play-young", "play-old", "play-much")
    }


def test_a_checkpoint_asks_for_age_only_where_a_rule_does(hinge):
    other = JudgementRuleFactory().checkpoint
    assert asks_for_age(hinge)
    assert not asks_for_age(other)
