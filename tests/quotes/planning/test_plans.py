"""Plans for drafts: sound, cheapest, with packages, bonds and what people set by hand."""

from __future__ import annotations

import itertools
import random
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from inventory.parts.models import FitFacts
from quotes.core.lines import Job, Kind
from quotes.core.pricing import price
from quotes.planning.asked import task_of_inspection
from quotes.planning.choices import choices_for
from quotes.planning.models import LockKind, ServicePackage
from quotes.planning.plans import plan_for
from quotes.quoting.models import QuotedFinding, Revision
from quotes.quoting.selectors.book import price_book_on, works_of
from quotes.quoting.verbs.choose import choose
from tests.factories import quotes as made
from tests.factories.bikes import BikeFactory
from tests.factories.fitting import sized
from tests.factories.people import UserFactory
from tests.factories.planning import PlanLockFactory, bond, package
from workshop.bikes.models import Bike
from workshop.bikes.verbs.measure import measure_bike
from workshop.core.judgement import Importance
from workshop.inspections.models import Fault, Inspection
from workshop.labour.models import Operation as OperationRow
from workshop.labour.models import Remedy, RemedyKind
from workshop.shop.selectors import current_shop

pytestmark = pytest.mark.django_db

SHARED = {Kind.LABOUR, Kind.ACCESS, Kind.PART}


def plan_of(revision, **how):
    revision = Revision.objects.select_related("quote__bike").get(pk=revision.pk)
    return plan_for(revision, current_shop(), **how)


def chosen(page):
    """Codes of the remedies by code of the fault."""
    faults = dict(Fault.objects.values_list("pk", "code"))
    return {faults[each.asked.fault]: each.remedy.code for each in page.chosen}


def why(page, code):
    fault = Fault.objects.get(code=code).pk
    return next(each.why for each in page.chosen if each.asked.fault == fault)


def judged(revision, code, judgement):
    QuotedFinding.objects.filter(revision=revision, finding__fault__code=code).update(
        judgement=judgement
    )


def does(remedy):
    return remedy.steps.get().operation


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


def three_faults(minutes="20.0"):
    return [made.fault(f"f{n}", made.remedy(f"r{n}", minutes=minutes)) for n in range(3)]


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


# what fits


def measured_draft(*faults, **sizes):
    revision = made.draft(*faults)
    measure_bike(revision.quote.bike, sizes)
    return revision


def fits_only(remedy, **facts):
    FitFacts.objects.create(part=remedy.parts.get().part, **facts)
    return remedy


def test_a_remedy_whose_part_does_not_fit_is_left_out_and_the_page_says_why():
    made.priced_shop()
    thin = fits_only(made.remedy("thin", minutes="5.0", part="post-27"), post_mm=Decimal("27.2"))
    thick = fits_only(made.remedy("thick", minutes="9.0", part="post-31"), post_mm=Decimal("31.8"))
    page = plan_of(measured_draft(made.fault("bent", thin, thick), post_mm=Decimal("31.8")))
    assert chosen(page) == {"bent": "thick"}
    (name, reason), *rest = page.misfits
    assert (name, rest) == ("Thin", [])
    assert reason.startswith("“Post 27” does not fit: The seat-post diameter differs: 27.2 mm")


def test_what_is_not_known_to_fit_is_allowed_and_said():
    made.priced_shop()
    thin = fits_only(made.remedy("thin", part="post-27"), post_mm=Decimal("27.2"))
    page = plan_of(made.draft(made.fault("bent", thin)))
    assert chosen(page) == {"bent": "thin"}
    assert page.misfits == ()
    assert page.chosen[0].fit.startswith("Not known whether “Post 27” fits: The bike’s seat-post")


def test_a_size_that_fits_saves_the_remedy_and_is_named():
    made.priced_shop()
    thin = fits_only(made.remedy("thin", part="post-27"), post_mm=Decimal("27.2"))
    other = sized("post-31", thin.parts.get().part, post_mm=Decimal("31.8"))
    page = plan_of(measured_draft(made.fault("bent", thin), post_mm=Decimal("31.8")))
    assert chosen(page) == {"bent": "thin"}
    assert page.chosen[0].fit.startswith(f"“{other.name}” instead of “Post 27”: ")


def test_no_lighter_remedy_steps_in_for_one_whose_part_does_not_fit():
    made.priced_shop()
    renew = fits_only(made.remedy("renew", part="post-27"), post_mm=Decimal("27.2"))
    adjust = made.remedy("adjust", minutes="1.0")
    Remedy.objects.filter(pk=renew.pk).update(kind=RemedyKind.RENEW)
    Remedy.objects.filter(pk=adjust.pk).update(kind=RemedyKind.ADJUST)
    revision = measured_draft(made.fault("bent", renew, adjust), post_mm=Decimal("31.8"))
    page = plan_of(revision)
    assert chosen(page) == {}
    ((_, reason),) = page.left
    assert reason.startswith("no remedy fits: price it by hand. “Post 27” does not fit")
    judged(revision, "bent", "watch")
    assert chosen(plan_of(revision)) == {"bent": "adjust"}


def test_a_package_with_a_part_that_does_not_fit_is_no_way():
    made.priced_shop()
    faults = three_faults()
    service = fits_only(made.remedy("service", minutes="5.0", part="kit"), axle_mm=Decimal(100))
    package("wheel-service", service, *faults)
    revision = measured_draft(*faults, front_axle_mm=Decimal(74), rear_axle_mm=Decimal(112))
    assert "service" not in chosen(plan_of(revision)).values()
    measure_bike(revision.quote.bike, {"front_axle_mm": Decimal(100), "rear_axle_mm": Decimal(100)})
    assert set(chosen(plan_of(revision)).values()) == {"service"}


def test_a_remedy_set_by_hand_stays_though_its_part_does_not_fit_and_that_is_said():
    made.priced_shop()
    thin = fits_only(made.remedy("thin", part="post-27"), post_mm=Decimal("27.2"))
    sleeve = made.remedy("sleeve", minutes="1.0")
    revision = measured_draft(made.fault("bent", thin, sleeve), post_mm=Decimal("31.8"))
    row = made.row_of(revision, "bent")
    PlanLockFactory.create(finding=row.finding, remedy=thin)
    page = plan_of(revision)
    assert chosen(page) == {"bent": "thin"}
    assert page.chosen[0].fit.startswith("“Post 27” does not fit")
    assert page.misfits == ()


POSTS = [Decimal("27.2"), Decimal("31.8"), None]


def least_by_trying(faults, options, bike, minutes):
    """The least that a bike’s findings cost, trying every way whose part is not a misfit.

    Each remedy does one operation of its own, so that costs just add up: 48.00 an hour.
    """
    ways = [
        [code for code in options[fault] if bike is None or minutes[code][1] in {None, bike}]
        for fault in faults
    ]
    costs = [
        sum(minutes[code][0] for code in pick) for pick in itertools.product(*filter(None, ways))
    ]
    return min(costs, default=0) * Decimal(48) / 60, sum(not each for each in ways)


@pytest.mark.parametrize("seed", range(25))
def test_a_plan_with_parts_that_do_not_fit_costs_the_least_of_all_that_fit(seed):
    made.priced_shop()
    dice = random.Random(seed)
    faults, options, known = [], {}, {}
    for number in range(dice.randint(1, 4)):
        remedies = []
        for way in range(dice.randint(1, 3)):
            code = f"f{number}w{way}"
            size, minutes = dice.choice(POSTS), dice.randint(1, 40)
            known[code] = (minutes, size)
            part = f"{code}-part"
            free = {"price_net": Decimal(0), "cost_net": Decimal(0)}
            remedies.append(made.remedy(code, minutes=f"{minutes}.0", part=part, **free))
            if size is not None:
                fits_only(remedies[-1], post_mm=size)
        faults.append(made.fault(f"f{number}", *remedies))
        options[f"f{number}"] = [each.code for each in remedies]
    bike = dice.choice(POSTS)
    revision = measured_draft(*faults, post_mm=bike)
    QuotedFinding.objects.filter(revision=revision).update(judgement="watch")
    page = plan_of(revision, by_cost=False)
    least, left = least_by_trying(options, options, bike, known)
    assert (page.amount, len(page.left)) == (least, left)
    misfits = {Remedy.objects.get(name=name).code for name, _ in page.misfits}
    assert misfits == {
        code for code, (_, size) in known.items() if bike and size not in {None, bike}
    }


# held against pricing and the catalogue


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
