"""Plans for drafts: sound, cheapest, with packages, bonds and what people set by hand."""

from __future__ import annotations

from decimal import Decimal

import pytest

from inventory.parts.models import FitFacts
from quotes.planning.models import LockKind
from quotes.planning.plans import plan_for
from quotes.quoting.models import QuotedFinding
from quotes.quoting.verbs.choose import choose
from tests.factories import quotes as made
from tests.factories.people import UserFactory
from tests.factories.planning import PlanLockFactory, bond, package
from tests.quotes.planning.planned import chosen, does, judged, plan_of, three_faults, why
from workshop.bikes.models import Bike
from workshop.labour.models import Remedy, RemedyKind
from workshop.shop.selectors import current_shop

pytestmark = pytest.mark.django_db


# what is cheapest


def test_the_cheaper_of_two_ways_to_cure_what_is_only_watched_is_taken():
    made.priced_shop()
    dear, cheap = made.remedy("dear", minutes="30.0"), made.remedy("cheap", minutes="10.0")
    revision = made.draft(made.fault("rust", dear, cheap))
    judged(revision, "rust", "watch")
    page = plan_of(revision, by_cost=False)
    assert chosen(page) == {"rust": "cheap"}
    assert (page.amount, page.now, page.gain) == (Decimal(8), Decimal(24), Decimal(16))
    assert why(page, "rust") == "£16.00 cheaper than the next best, “Dear”."


def test_shared_access_makes_the_dearer_remedy_the_cheaper_one():
    made.priced_shop()
    hub = made.remedy("hub", minutes="20.0", access="wheel-out")
    in_place = made.remedy("rim-in-place", minutes="17.0")
    on_stand = made.remedy("rim-on-stand", minutes="15.0", access="wheel-out")
    faults = (made.fault("hub-play", hub), made.fault("rim-bent", in_place, on_stand))
    revision = made.draft(*faults)
    judged(revision, "rim-bent", "watch")
    page = plan_of(revision, by_cost=False)
    assert chosen(page) == {"hub-play": "hub", "rim-bent": "rim-on-stand"}
    assert "by itself it is dearer" in why(page, "rim-bent")
    assert page.saving > 0
    assert why(page, "hub-play") == "The only sound way."


def test_a_plan_for_an_inspection_needs_no_quote():
    made.priced_shop()
    cheap, dear = made.remedy("cheap", minutes="5.0"), made.remedy("dear")
    inspection = made.inspected(made.fault("rust", dear, cheap))
    page = plan_for(inspection, current_shop(), by_cost=False)
    assert set(chosen(page)) == {"rust"}
    assert page.proven


def test_least_cost_and_least_price_may_be_different_plans():
    made.priced_shop()
    labour = made.remedy("by-labour", minutes="20.0")
    part = made.remedy(
        "by-part", minutes="1.0", part="dear-part", cost_net=Decimal(12), price_net=Decimal(14)
    )
    revision = made.draft(made.fault("rust", labour, part))
    judged(revision, "rust", "watch")
    assert chosen(plan_of(revision, by_cost=True)) == {"rust": "by-labour"}
    assert chosen(plan_of(revision, by_cost=False)) == {"rust": "by-part"}


# what is sound


@pytest.mark.parametrize("judgement", ["needs_work", "unsafe"])
def test_what_needs_work_is_not_cured_less_deeply_than_proposed(judgement):
    made.priced_shop()
    renew, adjust = made.remedy("renew", minutes="30.0"), made.remedy("adjust", minutes="5.0")
    Remedy.objects.filter(pk=renew.pk).update(kind=RemedyKind.RENEW)
    Remedy.objects.filter(pk=adjust.pk).update(kind=RemedyKind.ADJUST)
    revision = made.draft(made.fault("brake-weak", renew, adjust))
    judged(revision, "brake-weak", judgement)
    assert chosen(plan_of(revision)) == {"brake-weak": "renew"}


def test_another_remedy_stands_in_where_it_makes_the_proposed_work_needless():
    made.priced_shop()
    rebuild = made.remedy("rebuild", minutes="60.0")
    wheel = made.remedy("new-wheel", minutes="10.0")
    other = made.remedy("something-else", minutes="5.0")
    does(wheel).covers.add(does(rebuild))
    revision = made.draft(made.fault("rim-hollow", rebuild, other, wheel))
    judged(revision, "rim-hollow", "unsafe")
    assert chosen(plan_of(revision)) == {"rim-hollow": "new-wheel"}


def test_the_same_work_with_another_part_hangs_on_the_bike_and_is_not_swapped():
    made.priced_shop()
    cassette = made.remedy("cassette", part="cassette", cost_net=Decimal(20))
    freewheel = made.remedy("freewheel", part="freewheel", cost_net=Decimal(10))
    step = freewheel.steps.get()
    step.operation = does(cassette)
    step.save()
    freewheel.parts.update(operation=does(cassette))
    revision = made.draft(made.fault("sprockets-worn", cassette, freewheel))
    judged(revision, "sprockets-worn", "needs_work")
    assert chosen(plan_of(revision)) == {"sprockets-worn": "cassette"}


def test_a_tyre_for_another_rim_is_not_chosen():
    made.priced_shop()
    small = made.remedy("tyre-small", minutes="5.0", part="tyre-349")
    right = made.remedy("tyre-right", minutes="9.0", part="tyre-406")
    for code, size in (("tyre-349", 349), ("tyre-406", 406)):
        part = next(p.part for r in (small, right) for p in r.parts.all() if p.part.code == code)
        FitFacts.objects.create(part=part, bead_seat_mm=size)
    revision = made.draft(made.fault("tyre-worn", small, right), bead_seat_mm=406)
    assert chosen(plan_of(revision)) == {"tyre-worn": "tyre-right"}
    Bike.objects.update(bead_seat_mm=None)
    judged(revision, "tyre-worn", "watch")
    assert chosen(plan_of(revision)) == {"tyre-worn": "tyre-small"}


def test_what_has_no_remedy_or_is_a_deal_breaker_is_left_and_told():
    made.priced_shop()
    noise = made.fault("noise")
    crack = made.fault("crack", made.remedy("weld"))
    hub = made.fault("hub-play", made.remedy("hub-adjust"))
    revision = made.draft(noise, crack, hub)
    QuotedFinding.objects.filter(finding__fault=crack).update(deal_breaker=True)
    page = plan_of(revision)
    assert chosen(page) == {"hub-play": "hub-adjust"}
    assert {reason for _, reason in page.left} == {
        "a deal-breaker",
        "no remedy fits: price it by hand",
    }


# packages and bonds


def test_a_package_is_taken_where_it_costs_less_than_its_parts():
    made.priced_shop()
    faults = three_faults()
    service = made.remedy("service", minutes="30.0")
    package("wheel-service", service, *faults)
    page = plan_of(made.draft(*faults), by_cost=False)
    assert set(chosen(page).values()) == {"service"}
    assert page.amount == Decimal(24)
    assert all(each.package == "wheel service" for each in page.chosen)
    assert why(page, "f0").startswith("Cures 3 findings together.")


def test_it_is_not_taken_where_its_parts_cost_less():
    made.priced_shop()
    faults = three_faults("5.0")
    package("wheel-service", made.remedy("service", minutes="30.0"), *faults)
    assert set(chosen(plan_of(made.draft(*faults))).values()) == {"r0", "r1", "r2"}


def test_it_is_not_offered_before_enough_of_its_faults_were_found():
    made.priced_shop()
    faults = three_faults()
    package("cheap-service", made.remedy("service", minutes="1.0"), *faults, at_least=3)
    assert set(chosen(plan_of(made.draft(*faults[:2]))).values()) == {"r0", "r1"}


def test_a_package_out_of_use_or_for_another_bike_is_not_offered():
    made.priced_shop()
    faults = three_faults()
    service = made.remedy("service", minutes="1.0")
    offered = package("cheap-service", service, *faults)
    revision = made.draft(*faults)
    assert set(chosen(plan_of(revision)).values()) == {"service"}
    Remedy.objects.filter(pk=service.pk).update(brakes=["hub"])
    assert "service" not in chosen(plan_of(revision)).values()
    Remedy.objects.filter(pk=service.pk).update(brakes=[])
    offered.active = False
    offered.save()
    assert "service" not in chosen(plan_of(revision)).values()


def test_what_excludes_each_other_is_not_chosen_together():
    made.priced_shop()
    one = made.remedy("one", minutes="10.0")
    cheap, dear = made.remedy("cheap", minutes="10.0"), made.remedy("dear", minutes="12.0")
    revision = made.draft(made.fault("f", one), made.fault("g", cheap, dear))
    judged(revision, "g", "watch")
    assert chosen(plan_of(revision))["g"] == "cheap"
    bond(one, "excludes", cheap)
    assert chosen(plan_of(revision))["g"] == "dear"


def test_what_one_needs_is_chosen_with_it_where_it_may_be():
    made.priced_shop()
    sprockets = made.remedy("sprockets", minutes="10.0")
    clean, chain = made.remedy("clean", minutes="5.0"), made.remedy("chain", minutes="9.0")
    bond(sprockets, "needs", chain)
    worn = made.fault("sprockets-worn", sprockets)
    dirty = made.fault("chain-dirty", clean, chain)
    alone = made.draft(worn)
    assert chosen(plan_of(alone)) == {"sprockets-worn": "sprockets"}
    both = made.draft(worn, dirty)
    judged(both, "chain-dirty", "watch")
    assert chosen(plan_of(both)) == {"sprockets-worn": "sprockets", "chain-dirty": "chain"}


def test_where_there_is_no_plan_the_conflict_is_told_in_words():
    made.priced_shop()
    one, other = made.remedy("one"), made.remedy("other")
    third = made.fault("third", made.remedy("harmless"))
    revision = made.draft(made.fault("f", one), made.fault("g", other), third)
    bond(one, "excludes", other, words="A hub takes one of them")
    page = plan_of(revision)
    words = " ".join(page.conflict)
    rows = {row.finding.fault.code: str(row) for row in revision.findings.all()}
    assert "cannot be cured together" in words
    assert rows["f"] in words
    assert rows["g"] in words
    assert rows["third"] not in words
    assert "A hub takes one of them" in words
    assert page.chosen == ()


# what people set


def test_a_lock_is_kept_though_it_is_dearer_and_not_proposed():
    made.priced_shop()
    adjust, renew = made.remedy("adjust", minutes="5.0"), made.remedy("renew", minutes="30.0")
    revision = made.draft(made.fault("hub-play", adjust, renew))
    row = made.row_of(revision, "hub-play")
    PlanLockFactory.create(finding=row.finding, remedy=renew, reason="pitted cones")
    page = plan_of(revision)
    assert chosen(page) == {"hub-play": "renew"}
    assert why(page, "hub-play") == "Set by hand: pitted cones."


def test_what_is_barred_is_not_chosen_and_the_reason_is_told():
    made.priced_shop()
    cheap, dear = made.remedy("cheap", minutes="5.0"), made.remedy("dear", minutes="30.0")
    revision = made.draft(made.fault("rust", cheap, dear))
    judged(revision, "rust", "watch")
    row = made.row_of(revision, "rust")
    PlanLockFactory.create(
        finding=row.finding, remedy=cheap, kind=LockKind.BAR, reason="it came back"
    )
    page = plan_of(revision)
    assert chosen(page) == {"rust": "dear"}
    assert "it came back" in why(page, "rust")


def test_a_remedy_chosen_by_hand_on_the_quote_stays():
    made.priced_shop()
    cheap, dear = made.remedy("cheap", minutes="5.0"), made.remedy("dear", minutes="30.0")
    revision = made.draft(made.fault("rust", cheap, dear))
    judged(revision, "rust", "watch")
    row = made.row_of(revision, "rust")
    boss = UserFactory.create(manager=True)
    choose(row, remedy=dear, importance=row.importance, reason="as it was", by=boss)
    page = plan_of(revision)
    assert chosen(page) == {"rust": "dear"}
    assert why(page, "rust") == "You chose it on the quote, so it stays."
