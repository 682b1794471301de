"""Comparables as the database keeps them: keys, ages, limits, history, dropping."""

import datetime as dt
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from quotes.resale.models import Comparable, Dropped, likeness_key
from quotes.resale.verbs.change import change_comparable
from quotes.resale.verbs.drop import NoReasonError, drop_comparable
from quotes.resale.verbs.enter import enter_comparable
from quotes.resale.verbs.remove import remove_comparable
from quotes.resale.verbs.take_back import take_back
from tests.factories.bikes import BikeFactory
from tests.factories.people import UserFactory
from tests.factories.resale import ComparableFactory, DroppedFactory

pytestmark = pytest.mark.django_db

FACTS = {
    "make": "Larkfold",
    "model": "Commuter 6",
    "frame": "folding",
    "maker_year": 2019,
    "condition": 4,
    "price": Decimal(400),
    "kind": "sold",
    "seen_on": dt.date(2025, 3, 14),
}


@pytest.fixture
def manager():
    return UserFactory.create(manager=True)


@pytest.mark.parametrize(
    ("one", "other"),
    [("Commuter 6", "COMMUTER-6"), ("Größe", "GRÖSSE"), ("Kettle wing", "kettlewing")],
)
def test_makes_and_models_are_alike_however_they_are_written(one, other):
    assert likeness_key(one) == likeness_key(other)


def test_the_keys_follow_what_is_written(manager):
    made = enter_comparable(by=manager, **FACTS)
    assert (made.make_key, made.model_key) == ("larkfold", "commuter6")
    change_comparable(made, model="Sprint")
    assert Comparable.objects.get().model_key == "sprint"


def test_age_is_counted_on_the_day_it_was_seen():
    seen = dt.date(2025, 3, 14)
    assert Comparable(maker_year=2019, seen_on=seen).age_years == 6
    assert Comparable(maker_year=2026, seen_on=seen).age_years == 0


@pytest.mark.parametrize(
    "wrong",
    [
        {"price": Decimal(0)},
        {"price": Decimal(-1)},
        {"condition": 0},
        {"condition": 6},
        {"kind": "lent"},
        {"frame": "trike"},
        {"maker_year": 1700},
        {"days_on_shelf": 4000},
        {"make": "–"},
    ],
)
def test_what_cannot_be_is_refused_by_the_verb_and_by_the_database(wrong, manager):
    with pytest.raises(ValidationError):
        enter_comparable(by=manager, **{**FACTS, **wrong})
    with pytest.raises(IntegrityError), transaction.atomic():
        ComparableFactory.create(**wrong)
    assert not Comparable.objects.exists()


def test_a_change_keeps_what_was_before(manager):
    made = enter_comparable(by=manager, **FACTS)
    change_comparable(made, price=Decimal(450))
    assert [each.price for each in made.history.all()] == [Decimal(450), Decimal(400)]


def test_a_refused_change_leaves_it_as_it_was(manager):
    made = enter_comparable(by=manager, **FACTS)
    with pytest.raises(ValidationError):
        change_comparable(made, price=Decimal(0))
    assert Comparable.objects.get().price == 400


def test_a_deleted_comparable_leaves_its_history(manager):
    made = enter_comparable(by=manager, **FACTS)
    DroppedFactory.create(comparable=made)
    key = made.pk
    remove_comparable(made)
    assert not Comparable.objects.exists()
    assert not Dropped.objects.exists()
    kinds = Comparable.history.filter(id=key).values_list("history_type", flat=True)
    assert list(kinds) == ["-", "+"]


# dropping


def test_dropping_notes_the_reason_and_who(manager):
    comparable, bike = ComparableFactory.create(), BikeFactory.create()
    note = drop_comparable(comparable, bike, reason="  damaged  ", by=manager)
    assert (note.reason, note.by, note.bike) == ("damaged", manager, bike)


def test_dropped_twice_the_first_reason_stands(manager):
    comparable, bike = ComparableFactory.create(), BikeFactory.create()
    for reason in ("damaged", "stolen"):
        drop_comparable(comparable, bike, reason=reason, by=manager)
    assert Dropped.objects.get().reason == "damaged"


@pytest.mark.parametrize("reason", ["", "   "])
def test_without_a_reason_nothing_is_dropped(reason, manager):
    with pytest.raises(NoReasonError, match="Say why"):
        drop_comparable(ComparableFactory.create(), BikeFactory.create(), reason=reason, by=manager)
    with pytest.raises(IntegrityError), transaction.atomic():
        DroppedFactory.create(reason="")
    assert not Dropped.objects.exists()


def test_the_database_keeps_one_note_for_a_bike_and_a_comparable():
    note = DroppedFactory.create()
    with pytest.raises(IntegrityError), transaction.atomic():
        DroppedFactory.create(comparable=note.comparable, bike=note.bike)


def test_taking_back_is_kept_in_history_and_may_be_done_twice():
    note = DroppedFactory.create()
    for _ in range(2):
        take_back(note.comparable, note.bike)
    assert not Dropped.objects.exists()
    assert [each.history_type for each in Dropped.history.all()] == ["-", "+"]


def test_taking_back_for_one_bike_leaves_the_others():
    note = DroppedFactory.create()
    other = DroppedFactory.create(comparable=note.comparable)
    take_back(note.comparable, note.bike)
    assert Dropped.objects.get() == other
