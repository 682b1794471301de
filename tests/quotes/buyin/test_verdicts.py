"""The cases that the margin check exists for, with the catalogue's own rules."""

from __future__ import annotations

from decimal import Decimal

import pytest

from quotes.buyin.basis import basis_of
from quotes.buyin.forms import first_figures
from quotes.buyin.models import LeaveRule
from quotes.buyin.outcome import outcome_of
from quotes.core.margin import MarginInput, Scheme
from workshop.catalogue.loading import load_catalogue
from workshop.inspections.models import Fault

pytestmark = pytest.mark.django_db


def outcome(bike, shop, resale):
    """Return what a bike comes to with the figures that the page starts with."""
    basis = basis_of(bike, shop)
    figures = first_figures(basis) | {"resale_price": Decimal(resale)}
    scheme = Scheme(figures.pop("scheme"))
    return outcome_of(MarginInput(**figures, scheme=scheme, currency=shop.currency), basis)


def test_a_bike_bought_cheaply_that_needs_more_in_work_than_it_costs_is_left(shop, bike, quoted):
    revision = quoted(bike)
    line = revision.lines.get(kind="part", left_out=False)
    line.cost_net = Decimal(150)
    line.save()
    bike.asking_price = Decimal(40)
    bike.save()
    found = outcome(bike, shop, 260)
    assert found.word == "Leave it"
    assert any(
        "The work costs £164.72, more than the bike at £40.00" in reason
        for reason in found.verdict.reasons
    )


def test_the_rules_to_leave_come_with_the_catalogue():
    load_catalogue()
    rules = {rule.code: rule for rule in LeaveRule.objects.prefetch_related("faults")}
    assert rules["many-small-faults"].at_least == 8
    assert rules["many-small-faults"].from_judgement == "watch"
    assert rules["much-to-put-right"].at_least == 5
    assert rules["much-to-put-right"].from_judgement == "needs_work"
    assert {fault.code for fault in rules["chain-worn-out"].faults.all()} == {
        "chain-worn-with-sprockets",
        "chain-wide-worn-with-sprocket",
    }


def test_loading_the_catalogue_again_doubles_no_rule_and_keeps_what_the_shop_changed():
    load_catalogue()
    LeaveRule.objects.filter(code="many-small-faults").update(at_least=12)
    report = load_catalogue()
    assert LeaveRule.objects.filter(code="many-small-faults", at_least=12).count() == 1
    assert [each.key for each in report.kept] == ["many-small-faults"]
    load_catalogue(overwrite=True)
    assert LeaveRule.objects.get(code="many-small-faults").at_least == 8


def test_a_heavily_worn_chain_alone_is_a_reason_to_leave(shop, bike, found):
    load_catalogue()
    inspection = found(bike, 0)
    from tests.factories.inspections import FindingFactory

    worn = Fault.objects.get(code="chain-worn-with-sprockets")
    FindingFactory.create(fault=worn, check_made__inspection=inspection)
    reasons = basis_of(bike, shop).leave_reasons
    assert len(reasons) == 1
    assert reasons[0].startswith("A heavily worn chain")


def test_eight_small_faults_are_a_reason_to_leave_and_seven_are_not(shop, bike, found):
    load_catalogue()
    found(bike, 7)
    assert basis_of(bike, shop).leave_reasons == ()
    found(bike, 8, code="again")
    (reason,) = basis_of(bike, shop).leave_reasons
    assert reason.startswith("Many small faults together")
    assert reason.endswith("(8 findings).")
