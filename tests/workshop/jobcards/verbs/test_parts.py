"""Drawing and giving back: never more than wanted, once a key, the ledger always right."""

from decimal import Decimal

import pytest

from inventory.stock.checking import problems
from inventory.stock.models import StockLevel, StockMovement
from tests.factories import jobcards as made
from tests.factories.stock import stocked, take
from workshop.jobcards.errors import KeyClashError, TaskStandsError
from workshop.jobcards.models import TaskState
from workshop.jobcards.verbs.parts import PartError, draw_part, give_part_back
from workshop.jobcards.verbs.tick import tick

pytestmark = pytest.mark.django_db


@pytest.fixture
def cones(card):
    return made.row_of(card, "cones")


def on_hand(row):
    level = StockLevel.objects.get(part=row.part)
    return level.on_hand, level.reserved


def test_a_draw_comes_out_of_what_is_set_aside(card, cones, ada):
    drawn = draw_part(cones, quantity=Decimal(1), by=ada, key="d1")
    assert (drawn.drawn, drawn.reserved, drawn.to_draw) == (1, 1, 1)
    assert on_hand(cones) == (4, 1)
    assert list(problems()) == []


def test_the_same_draw_twice_is_one(cones, ada):
    draw_part(cones, quantity=Decimal(2), by=ada, key="d1")
    draw_part(cones, quantity=Decimal(2), by=ada, key="d1")
    assert on_hand(cones) == (3, 0)
    with pytest.raises(KeyClashError):
        give_part_back(cones, quantity=Decimal(1), by=ada, key="d1")


@pytest.mark.parametrize("quantity", ["3", "0", "-1", "2.01"])
def test_more_than_wanted_or_nothing_is_refused(cones, ada, quantity):
    with pytest.raises(PartError):
        draw_part(cones, quantity=Decimal(quantity), by=ada, key="d1")
    assert on_hand(cones) == (5, 2)


def test_drawn_by_two_it_is_still_no_more_than_wanted(cones, ada, ben):
    draw_part(cones, quantity=Decimal(2), by=ada, key="d1")
    with pytest.raises(PartError, match="still to be drawn are 0 pc"):
        draw_part(cones, quantity=Decimal(2), by=ben, key="d2")


def test_for_work_that_is_no_longer_wanted_nothing_is_drawn(cones, ada):
    cones.task.state = TaskState.DROPPED
    cones.task.save()
    with pytest.raises(TaskStandsError):
        draw_part(cones, quantity=Decimal(1), by=ada, key="d1")
    assert on_hand(cones) == (5, 2)


def test_what_comes_back_comes_from_the_last_draw_first(cones, ada):
    for key in ("d1", "d2"):
        draw_part(cones, quantity=Decimal(1), by=ada, key=key)
    back = give_part_back(cones, quantity=Decimal(2), by=ada, key="b1")
    give_part_back(cones, quantity=Decimal(2), by=ada, key="b1")
    assert (back.out, back.to_draw, back.may_draw) == (0, 0, 2)
    assert on_hand(cones) == (5, 0)
    assert [each.returned for each in back.draws.all()] == [1, 1]
    with pytest.raises(PartError, match="0 pc are out"):
        give_part_back(cones, quantity=Decimal(1), by=ada, key="b2")
    assert list(problems()) == []


def test_what_was_given_back_may_be_drawn_again(cones, ada):
    draw_part(cones, quantity=Decimal(2), by=ada, key="d1")
    give_part_back(cones, quantity=Decimal(1), by=ada, key="b1")
    again = draw_part(cones, quantity=Decimal(1), by=ada, key="d2")
    assert (again.drawn, again.returned, again.out) == (3, 1, 2)


def test_a_short_part_is_not_drawn_below_zero(ada):
    made.operation("hub")
    part = stocked(1, code="axle")
    take(part, 1)
    card = made.a_card(made.asked("hub", parts=(("hub", part, 1),)))
    with pytest.raises(PartError):
        draw_part(made.row_of(card, "axle"), quantity=Decimal(1), by=ada, key="d1")
    assert on_hand(made.row_of(card, "axle")) == (0, 0)
    card.refresh_from_db()
    assert card.state == "ready"


def test_a_safety_part_carries_its_number(ada):
    made.operation("stem")
    part = stocked(1, code="stem-bolt", safety_critical=True)
    row = made.row_of(made.a_card(made.asked("stem", parts=(("stem", part, 1),))), "stem-bolt")
    with pytest.raises(PartError, match="safety-critical") as refusal:
        draw_part(row, quantity=Decimal(1), by=ada, key="d1", serial=" ")
    assert refusal.value.field == "serial"
    draw_part(row, quantity=Decimal(1), by=ada, key="d2", serial="LOT 44")
    assert row.draws.get().serial == "LOT 44"


def test_after_the_tick_what_was_not_used_still_comes_back(card, cones, ada, finish):
    draw_part(cones, quantity=Decimal(2), by=ada, key="d1")
    finish(card, ada)
    give_part_back(cones, quantity=Decimal(1), by=ada, key="b1")
    assert on_hand(cones)[0] == 4


def test_a_movement_says_which_card_it_was_for(cones, ada):
    draw_part(cones, quantity=Decimal(1), by=ada, key="d1")
    movement = StockMovement.objects.filter(kind="draw").get()
    assert movement.reference.startswith("J0001 B")
    assert movement.key == "J0001:d1"


def test_a_part_may_be_drawn_for_a_task_ticked_already(card, cones, ada):
    hub = made.task_of(card, "hub")
    tick(hub, by=ada, key="k1", base_version=1)
    assert draw_part(cones, quantity=Decimal(2), by=ada, key="d1").out == 2
