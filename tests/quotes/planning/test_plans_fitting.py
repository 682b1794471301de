"""Plans and what fits: other sizes, misfits left out and told, the least of all that fit."""

from __future__ import annotations

import itertools
import random
from decimal import Decimal

import pytest

from inventory.parts.models import FitFacts
from quotes.quoting.models import QuotedFinding
from tests.factories import quotes as made
from tests.factories.fitting import sized
from tests.factories.planning import PlanLockFactory, package
from tests.quotes.planning.planned import chosen, judged, plan_of, three_faults
from workshop.bikes.verbs.measure import measure_bike
from workshop.labour.models import Remedy, RemedyKind

pytestmark = pytest.mark.django_db


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
