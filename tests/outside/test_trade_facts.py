"""What the trade knows, held against the whole way from the walk to the verdict.

Common practice, no source. The catalogue that comes with the product is loaded, faults and
readings go through the same verbs that people use, and prices are those of the demo shop.
"""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

import pytest
from django.db import transaction

from quotes.buyin.basis import basis_of
from quotes.buyin.forms import first_figures
from quotes.buyin.outcome import Outcome, outcome_of
from quotes.core.margin import MarginInput, Scheme
from quotes.demo.rows import read_json
from quotes.demo.walking import WalkBook
from quotes.quoting.models import Revision
from quotes.quoting.verbs.start import start_quote
from tests.factories.bikes import BikeFactory
from tests.factories.people import UserFactory
from workshop.bikes.models import Bike
from workshop.catalogue.loading import load_catalogue
from workshop.core.judgement import Importance, Judgement
from workshop.inspections.models import Checkpoint, Fault, Finding, Inspection
from workshop.labour.models import Remedy
from workshop.shop.models import Shop

pytestmark = pytest.mark.django_db

THIS_YEAR = 2026
SMALL_FAULTS = (
    "front-hub-play",
    "rear-hub-play",
    "headset-play",
    "main-hinge-stiff",
    "saddle-torn",
    "bell-missing",
    "grips-worn",
    "reflectors-missing",
)


@pytest.fixture(scope="module", autouse=True)
def _shop(django_db_setup, django_db_blocker) -> Iterator[None]:
    """Load the catalogue and set up the demo shop, for all tests here."""
    with django_db_blocker.unblock(), transaction.atomic():
        Shop.objects.create(pk=1, **read_json("shop.json"))
        load_catalogue()
        yield
        transaction.set_rollback(True)


@pytest.fixture(autouse=True)
def _today(monkeypatch):
    """Let ages count from one year, whenever the tests run."""
    monkeypatch.setattr(
        Bike, "age_years", lambda self, on: self.maker_year and THIS_YEAR - self.maker_year
    )


def bike(age: int = 8, **fields: object) -> Bike:
    """Return a folding bike of an age in years, offered to the shop."""
    given = {"gears": "derailleur", "asking_price": Decimal(60)} | fields
    return BikeFactory.create(maker_year=THIS_YEAR - age, **given)


def inspected(*found: str, of: Bike | None = None) -> Inspection:
    """Walk round a bike, find these faults and readings, and nothing else."""
    mechanic = UserFactory.create()
    return WalkBook.from_catalogue().walk(of or bike(), found, mechanic, half=False)


def finding(*found: str, of: Bike | None = None) -> Finding | None:
    """Return what the walk keeps as found: the first finding, None where all is sound."""
    kept = Finding.objects.filter(check_made__inspection=inspected(*found, of=of))
    return kept.select_related("fault").first()


def quoted(*found: str, of: Bike | None = None) -> Revision:
    """Return the quote drawn up for what the walk finds."""
    return start_quote(inspected(*found, of=of), UserFactory.create(manager=True))


def verdict(revision: Revision, *, asked: int, resale: int) -> Outcome:
    """Return what a bike comes to with its quote's work, at these prices."""
    offered = revision.quote.bike
    offered.asking_price = Decimal(asked)
    offered.save()
    basis = basis_of(offered, Shop.objects.get())
    figures = first_figures(basis) | {"resale_price": Decimal(resale)}
    scheme = Scheme(figures.pop("scheme"))
    return outcome_of(MarginInput(**figures, scheme=scheme, currency="GBP"), basis)


def text_of(code: str, field: str) -> str:
    """Return a text of a checkpoint, in one line."""
    return " ".join(getattr(Checkpoint.objects.get(code=code), field).split())


# prices a customer expects


@pytest.mark.parametrize(
    ("fault", "least", "most"),
    [
        ("front-hub-play", 20, 25),
        ("rear-hub-play", 20, 25),
        ("bottom-bracket-play", 40, 50),
        ("rear-pivot-play", 40, 50),
    ],
)
def test_a_quote_for_a_known_job_alone_comes_to_what_the_trade_charges(fault, least, most):
    assert least <= quoted(fault).gross <= most


# hinges


@pytest.mark.parametrize("age", [0, 1, 4])
def test_a_hinge_under_five_years_may_not_move_at_all(age):
    found = finding("main-hinge-play=0.1", of=bike(age))
    assert found is not None
    assert found.judgement == Judgement.UNSAFE


@pytest.mark.parametrize("age", [10, 15])
def test_a_trace_at_the_hinge_of_a_ten_year_old_bike_can_be_accepted(age):
    found = finding("main-hinge-play=0.1", of=bike(age))
    assert found is None or found.judgement == Judgement.WATCH


def test_a_hinge_that_is_too_stiff_is_a_finding_and_points_to_corrosion():
    found = finding("main-hinge-stiff")
    assert found is not None
    assert found.judgement != Judgement.SOUND
    assert "corrosion" in found.fault.words


# wheels and drive


@pytest.mark.parametrize("wheel", ["front", "rear"])
def test_a_hollow_braking_surface_means_a_new_wheel_or_a_rebuild(wheel):
    found = finding(f"{wheel}-rim-hollow=0.4")
    assert found is not None
    assert found.judgement in {Judgement.NEEDS_WORK, Judgement.UNSAFE}
    offered = {option.remedy.code for option in found.fault.options.select_related("remedy")}
    assert offered == {f"{wheel}-wheel-renew", f"{wheel}-wheel-rebuild"}


def test_a_stretched_chain_takes_sprockets_and_chainring_with_it():
    found = finding("chain-length=308.2")
    assert found is not None
    assert found.fault.code == "chain-worn-with-sprockets"
    first = found.fault.options.order_by("rank").select_related("remedy").first()
    parts = " ".join(link.part.name for link in first.remedy.parts.select_related("part")).lower()
    for part in ("chain,", "chainring", "cassette"):
        assert part in f"{parts},", (part, parts)


def test_a_heavily_worn_chain_is_a_reason_to_leave_a_bike_however_cheap():
    found = verdict(quoted("chain-length=308.2"), asked=5, resale=900)
    assert found.word == "Leave it"
    assert any("worn chain" in reason for reason in found.verdict.reasons)


def test_many_small_faults_are_a_reason_to_leave_though_each_is_cheap():
    found = verdict(quoted(*SMALL_FAULTS), asked=5, resale=900)
    assert found.word == "Leave it"
    few = verdict(quoted(*SMALL_FAULTS[:2]), asked=5, resale=900)
    assert few.word != "Leave it"


# tests that fool


def test_rocking_on_the_front_brake_does_not_prove_headset_play():
    fools, isolates = text_of("headset", "what_fools"), text_of("headset", "how_to_isolate")
    assert "front brake proves nothing" in fools
    assert "rear pivot" in fools
    assert "hinges" in fools
    assert "hand across the bearing" in isolates


def test_play_at_the_rear_wheel_is_told_apart_from_play_of_hinge_and_pivot():
    fools, isolates = text_of("rear-hub", "what_fools"), text_of("rear-hub", "how_to_isolate")
    assert "rear pivot" in fools
    assert "hinge" in fools
    assert "pivot and hinge stand still" in isolates


def test_every_checkpoint_says_how_it_is_tested_and_nearly_all_what_fools_the_test():
    points = list(Checkpoint.objects.all())
    assert all(point.how_to_test for point in points)
    assert all(point.what_fools for point in points)
    assert all(point.how_to_isolate for point in points)


# frame


@pytest.mark.parametrize(
    "fault",
    ["head-tube-bubbles", "frame-beam-bubbles", "rear-beam-bubbles", "rear-stays-bubbles"],
)
def test_bubbles_in_thick_coating_count(fault):
    found = finding(fault)
    assert found is not None
    assert found.judgement != Judgement.SOUND
    assert found.fault.options.exists()


def test_thick_coating_is_named_as_what_hides_corrosion_and_cracks():
    assert "Thick powder coating hides corrosion and cracks" in text_of("frame-beam", "what_fools")


def test_bent_rear_stays_are_a_deal_breaker_and_nobody_offers_to_straighten_them():
    revision = quoted("rear-stays-bent")
    assert revision.no_price
    assert revision.findings.get().deal_breaker
    assert not Fault.objects.get(code="rear-stays-bent").options.exists()
    assert verdict(revision, asked=1, resale=2000).word == "Leave it"


@pytest.mark.parametrize("found", ["rear-pivot-play", "rear-pivot-play=0.4"])
def test_play_at_the_rear_pivot_goes_on_to_wear_the_frame_and_does_not_wait(found):
    row = quoted(found).findings.get()
    assert row.importance in {Importance.MUST, Importance.SHOULD}


# what the margin check is for


def test_a_bike_bought_cheaply_that_then_needs_more_in_work_than_it_cost_is_left():
    revision = quoted(
        "rear-pivot-play", "bottom-bracket-play", "front-rim-hollow=0.6", "rear-hub-play"
    )
    found = verdict(revision, asked=45, resale=210)
    assert found.word == "Leave it"
    assert any("more than the bike" in reason for reason in found.verdict.reasons)


def test_the_same_bike_at_the_same_price_is_bought_when_little_is_wrong():
    assert verdict(quoted("rear-hub-play"), asked=45, resale=210).word == "Buy it"


def test_several_faults_have_more_than_one_remedy():
    several = [fault for fault in Fault.objects.all() if fault.options.count() > 1]
    assert len(several) >= 20
    assert Remedy.objects.count() >= 90
