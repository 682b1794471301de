"""The card for the release check alone: opened, refused, released, and given work by an answer."""

import pytest
from django.db import IntegrityError, transaction

from tests.factories import jobcards as made
from tests.factories.inspections import InspectionFactory
from tests.factories.people import UserFactory
from tests.factories.shop import ShopFactory
from workshop.bikes.models import Bike, Purpose, Stage
from workshop.jobcards.models import JobCard
from workshop.jobcards.signing import standing_of
from workshop.jobcards.verbs.open_card import CardOpenError
from workshop.jobcards.verbs.open_check import CannotCheckError, open_check
from workshop.jobcards.verbs.release import CannotReleaseError, release_bike
from workshop.jobcards.verbs.sign import sign
from workshop.jobcards.verbs.take_answer import take_answer

pytestmark = pytest.mark.django_db


@pytest.fixture
def walk():
    return made.own_bike()


def refused(bike, by):
    with pytest.raises(CannotCheckError) as refusal:
        open_check(bike, by=by)
    assert not JobCard.objects.filter(quote_number="").exists()
    return str(refusal.value)


def test_it_has_no_quote_and_no_tasks_and_is_to_be_checked_at_once(walk, ada):
    card = open_check(walk.bike, by=ada)
    card.refresh_from_db()
    assert (card.number, card.state, card.inspection) == ("J0001", "checking", walk)
    assert (card.quote_number, card.revision_number, card.revision_key) == ("", None, None)
    assert card.is_check_alone
    assert card.reference == ""
    assert not card.tasks.exists()
    assert Bike.objects.get().stage == Stage.IN_WORK


def test_signed_and_released_the_bike_is_released(walk, ada):
    ShopFactory.create()
    item = made.release_item("brakes")
    card = open_check(walk.bike, by=ada)
    with pytest.raises(CannotReleaseError, match="Not signed yet: 1"):
        release_bike(card, by=ada, key="r1")
    sign(card, item, by=ada, key="s1")
    assert release_bike(card, by=ada, key="r2").state == "released"
    assert Bike.objects.get().stage == Stage.RELEASED


def test_a_customers_bike_is_refused(walk, ada):
    Bike.objects.update(purpose=Purpose.REPAIR)
    assert "Only a bike that the shop bought" in refused(walk.bike, ada)


@pytest.mark.parametrize("stage", [each for each in Stage if each != Stage.BOUGHT])
def test_at_any_other_stage_it_is_refused_with_the_stage(walk, ada, stage):
    Bike.objects.update(stage=stage)
    words = refused(walk.bike, ada)
    assert f"“{stage.label}”" in words
    assert "“bought in”" in words


def test_without_a_finished_walk_it_is_refused(ada, walk):
    InspectionFactory.create(bike=walk.bike)
    assert "No walk round this bike is finished" in refused(walk.bike, ada)
    walk.bike.inspections.all().delete()
    assert "No walk round this bike is finished" in refused(walk.bike, ada)


def test_with_something_unsafe_it_is_refused_and_named(walk, ada):
    made.found(walk, "crack", name="Crown cracked", default_judgement="unsafe")
    walk.checks.get().findings.update(judgement="unsafe", rule_judgement="unsafe")
    words = refused(walk.bike, ada)
    assert "Crown cracked" in words
    assert "Quote it and do the work" in words


def test_what_an_earlier_card_put_right_stands_in_the_way_of_nothing(walk, ada, finish):
    wrong = made.found(walk, "crack")
    walk.checks.get().findings.update(judgement="unsafe", rule_judgement="unsafe")
    made.operation("weld")
    first = made.a_card(made.asked("weld", findings={"weld": wrong}), inspection=walk)
    finish(first, ada)
    ShopFactory.create()
    release_bike(first, by=UserFactory.create(manager=True), key="r1")
    Bike.objects.update(stage=Stage.BOUGHT)
    second = open_check(walk.bike, by=ada)
    assert standing_of(second).blocks == ()


def test_where_a_card_is_open_it_is_refused_and_that_card_named(walk, ada):
    card = open_check(walk.bike, by=ada)
    with pytest.raises(CardOpenError, match=card.number):
        open_check(walk.bike, by=ada)
    assert JobCard.objects.count() == 1


def test_an_answer_brings_it_its_quote_and_its_work(walk, ada, finish):
    item = made.release_item("brakes")
    card = open_check(walk.bike, by=ada)
    sign(card, item, by=ada, key="s1")
    made.operation("hub")
    work = made.asked("hub", quote="Q0007", revision=2)
    take_answer(card, work, by=ada)
    card.refresh_from_db()
    assert (card.reference, card.state) == ("Q0007 revision 2", "working")
    assert not card.is_check_alone
    assert not card.checks.exists()
    finish(card, ada)
    assert card.state == "checking"


@pytest.mark.parametrize(
    "half",
    [
        {"quote_number": "Q1"},
        {"revision_number": 1},
        {"revision_key": 1},
        {"quote_number": "Q1", "revision_number": 1},
        {"quote_number": "Q1", "revision_key": 1},
        {"revision_number": 1, "revision_key": 1},
    ],
)
def test_half_a_quote_is_refused_by_the_database(walk, ada, half):
    open_check(walk.bike, by=ada)
    with pytest.raises(IntegrityError), transaction.atomic():
        JobCard.objects.update(**half)
