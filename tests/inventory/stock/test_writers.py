"""Eight people at the shelf at once: the level is the sum, and never below zero."""

import random
from concurrent.futures import ThreadPoolExecutor
from decimal import Decimal

import pytest
from django.db import connection

from inventory.stock.checking import problems
from inventory.stock.errors import NotEnoughError, StockError
from inventory.stock.models import MovementKind, Reservation, StockLevel, StockMovement
from inventory.stock.verbs.count import count
from inventory.stock.verbs.give_back import give_back
from inventory.stock.verbs.release import release
from inventory.stock.verbs.reserve import reserve
from inventory.stock.verbs.scrap import scrap
from tests.factories.parts import PartFactory
from tests.factories.people import UserFactory
from tests.factories.stock import come_in, stocked, take

pytestmark = pytest.mark.django_db(transaction=True)
WRITERS = 8


def together(jobs):
    """Run jobs in eight threads, each with a connection of its own; return what each gave."""

    def run(job):
        try:
            return job()
        except StockError as error:
            return error
        finally:
            connection.close()

    with ThreadPoolExecutor(WRITERS) as pool:
        return list(pool.map(run, jobs))


def test_eight_writers_draw_what_is_there_and_no_more():
    part, by = stocked(30), UserFactory.create()
    jobs = [
        lambda n=n: take(part, 1, by=by, key=f"w:{n}") if n % 8 else come_in(part, 1, 4, by=by)
        for n in range(64)
    ]
    done = together(jobs)
    level = StockLevel.objects.get(part=part)
    drawn = StockMovement.objects.filter(part=part, kind=MovementKind.DRAW).count()
    refused = sum(isinstance(each, NotEnoughError) for each in done)
    assert drawn + refused == 56
    assert level.on_hand == 30 + 8 - drawn
    assert level.on_hand >= 0
    assert drawn >= 30
    assert list(problems()) == []


def test_the_last_one_is_drawn_once():
    part, by = stocked(1), UserFactory.create()
    done = together([lambda n=n: take(part, 1, by=by, key=f"w:{n}") for n in range(WRITERS)])
    assert sum(isinstance(each, StockMovement) for each in done) == 1
    assert StockLevel.objects.get(part=part).on_hand == 0


def test_one_key_sent_eight_times_is_drawn_once():
    part, by = stocked(20), UserFactory.create()
    done = together([lambda: take(part, 2, by=by, key="double") for _ in range(WRITERS)])
    assert len({each.pk for each in done}) == 1
    assert StockLevel.objects.get(part=part).on_hand == 18


def test_the_first_movements_of_a_part_make_one_level():
    part, by = PartFactory.create(), UserFactory.create()
    together([lambda: come_in(part, 1, 2, by=by) for _ in range(WRITERS)])
    assert StockLevel.objects.get(part=part).on_hand == WRITERS
    assert list(problems()) == []


def test_reserved_and_drawn_at_once_is_given_out_once():
    part, by = stocked(5), UserFactory.create()
    jobs = [
        lambda n=n: (
            reserve(part, quantity=Decimal(1), reference="Q1", by=by, key=f"r:{n}")
            if n % 2
            else take(part, 1, by=by, key=f"d:{n}")
        )
        for n in range(16)
    ]
    together(jobs)
    level = StockLevel.objects.get(part=part)
    assert level.reserved == Reservation.objects.count()
    assert level.on_hand == level.reserved
    assert list(problems()) == []


def anything(number, parts, by):
    """One of all that people do at a shelf, the same for the same number."""
    dice = random.Random(number)
    part, quantity = dice.choice(parts), Decimal(dice.randint(1, 4))
    key = f"any:{number}"
    what = dice.choice(["in", "in", "draw", "draw", "back", "reserve", "release", "scrap", "count"])
    if what == "in":
        come_in(part, quantity, dice.randint(1, 9), by=by, key=key, days=dice.choice([0, 0, 3]))
    elif what == "draw":
        take(part, quantity, by=by, key=key)
    elif what == "back":
        drawn = StockMovement.objects.filter(part=part, kind=MovementKind.DRAW).first()
        if drawn is not None:
            give_back(drawn, quantity=Decimal(1), by=by, key=key)
    elif what == "reserve":
        reserve(part, quantity=quantity, reference="B1", by=by, key=key)
    elif what == "release":
        kept = Reservation.objects.filter(part=part, left__gt=0).first()
        if kept is not None:
            release(kept)
    elif what == "scrap":
        scrap(part, quantity=quantity, reason="cracked", by=by, key=key)
    else:
        count(part, counted=quantity + 3, by=by, key=key)


def test_whatever_eight_people_do_the_level_is_the_sum_and_never_below_zero():
    by, parts = UserFactory.create(), [stocked(20), stocked(20), stocked(20)]
    done = together([lambda n=n: anything(n, parts, by) for n in range(160)])
    assert all(each is None or isinstance(each, StockError) for each in done)
    assert sum(each is None for each in done) > 80
    for part in parts:
        level, there = StockLevel.objects.get(part=part), Decimal(0)
        rows = list(StockMovement.objects.filter(part=part).order_by("at", "pk"))
        taken_back = {each.reversal_of_id for each in rows}
        assert taken_back == {None}
        for row in rows:
            there += row.quantity
            assert there >= 0
        assert level.on_hand == there
        assert level.value == sum(row.value for row in rows)
        kept = Reservation.objects.filter(part=part)
        assert level.reserved == sum(each.left for each in kept) <= there
    assert list(problems()) == []
