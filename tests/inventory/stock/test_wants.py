"""Rooms say what they wait for, and hear of what comes in once it is committed."""

import datetime as dt
from decimal import Decimal

import pytest
from django.db import transaction

from inventory.stock import wants
from inventory.stock.models import StockLevel
from inventory.stock.verbs.count import count
from inventory.stock.verbs.give_back import give_back
from inventory.stock.wants import Want, register, wants_of
from tests.factories.parts import PartFactory
from tests.factories.people import UserFactory
from tests.factories.stock import a_key, come_in, stocked, take

pytestmark = pytest.mark.django_db
D = Decimal


@pytest.fixture
def room(monkeypatch):
    """A room that waits for what stands in ``wanted`` and keeps what it hears in ``heard``."""

    class Room:
        wanted = []
        heard = []

    told = Room()
    told.wanted, told.heard = [], []
    monkeypatch.setattr(wants, "_sources", [])
    monkeypatch.setattr(wants, "_listeners", [])
    register(
        lambda parts: [each for each in told.wanted if parts is None or each.part_id in parts],
        told.heard.append,
    )
    return told


def test_what_is_promised_first_stands_first_and_what_is_not_promised_last(room):
    early, late = dt.date(2026, 1, 5), dt.date(2026, 1, 9)
    room.wanted = [Want(1, D(1), "c"), Want(1, D(1), "b", late), Want(1, D(2), "a", early)]
    assert [each.reference for each in wants_of([1])[1]] == ["a", "b", "c"]
    assert wants_of([2]) == {}
    assert wants_of().keys() == {1}


def test_a_room_is_asked_once_though_it_registers_twice(room):
    before = (list(wants._sources), list(wants._listeners))
    register(wants._sources[0], wants._listeners[0])
    assert (wants._sources, wants._listeners) == before


def test_all_that_brings_something_in_is_told(room, django_capture_on_commit_callbacks):
    by, part = UserFactory.create(), PartFactory.create()
    with django_capture_on_commit_callbacks(execute=True):
        bought = come_in(part, 3, by=by)
    with django_capture_on_commit_callbacks(execute=True):
        drawn = take(part, 2, by=by)
    assert room.heard == [bought]
    with django_capture_on_commit_callbacks(execute=True):
        back = give_back(drawn, quantity=D(1), by=by, key=a_key())
        found = count(part, counted=D(5), by=by, key=a_key())
        count(part, counted=D(4), by=by, key=a_key())
    assert room.heard == [bought, back, found]


def test_nobody_hears_of_what_is_not_committed(room, django_capture_on_commit_callbacks):
    part = PartFactory.create()
    with django_capture_on_commit_callbacks(execute=True):
        try_in_vain(part)
    assert room.heard == []


def try_in_vain(part):
    """Book goods in, in a transaction that is rolled back."""
    with transaction.atomic():
        come_in(part, 3)
        transaction.set_rollback(True)


def test_what_came_in_stays_though_a_listener_fails(
    room, django_capture_on_commit_callbacks, caplog
):
    def fails(movement):
        raise RuntimeError("no")

    register(lambda parts: [], fails)
    part = stocked(1)
    with django_capture_on_commit_callbacks(execute=True):
        movement = come_in(part, 2)
    assert StockLevel.objects.get(part=part).on_hand == 3
    assert room.heard == [movement]
    assert f"movement {movement.pk}" in caplog.text
