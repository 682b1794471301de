"""A later answer on an open card: what is done stays, what is new comes in, the rest goes."""

from decimal import Decimal

import pytest

from inventory.stock.checking import problems
from inventory.stock.models import StockLevel
from tests.factories import jobcards as made
from tests.factories.stock import stocked
from workshop.jobcards.models import Task
from workshop.jobcards.verbs.parts import draw_part
from workshop.jobcards.verbs.take_answer import take_answer
from workshop.jobcards.verbs.tick import tick

pytestmark = pytest.mark.django_db


def rows(card):
    return [
        f"{task.kind}:{task.code}:{task.state}"
        for task in card.tasks.exclude(state="dropped").order_by("position")
    ]


def do(card, code, by, kind="work"):
    task = made.task_of(card, code, kind)
    return tick(task, by=by, key=made.a_key(), base_version=task.version)


def test_new_work_joins_the_wheel_that_is_out_already(card, ada):
    do(card, "wheel-out", ada, "open")
    do(card, "hub", ada)
    made.operation("spokes", "wheel-out")
    made.operation("chain")
    take_answer(card, made.asked("chain", "hub", "rim", "spokes", revision=2), by=ada)
    assert rows(card) == [
        "open:wheel-out:done",
        "work:hub:done",
        "work:rim:to_do",
        "work:spokes:to_do",
        "close:wheel-out:to_do",
        "work:chain:to_do",
    ]
    card.refresh_from_db()
    assert (card.revision_number, card.reference) == (2, "Q0001 revision 2")


def test_a_wheel_that_is_in_again_comes_out_a_second_time_because_it_must(card, ada, finish):
    finish(card, ada)
    made.operation("spokes", "wheel-out")
    take_answer(card, made.asked("hub", "rim", "spokes", revision=2), by=ada)
    assert rows(card)[4:] == [
        "open:wheel-out:to_do",
        "work:spokes:to_do",
        "close:wheel-out:to_do",
    ]
    card.refresh_from_db()
    assert card.state == "working"


def test_what_is_not_wanted_any_more_is_dropped_and_its_parts_are_freed(card, ada):
    part = made.row_of(card, "cones").part
    take_answer(card, made.asked("rim", revision=2), by=ada)
    assert made.task_of(card, "hub").state == "dropped"
    assert rows(card) == ["open:wheel-out:to_do", "work:rim:to_do", "close:wheel-out:to_do"]
    assert StockLevel.objects.get(part=part).reserved == 0
    assert list(problems()) == []


def test_what_was_done_stays_done_though_it_is_no_longer_wanted(card, ada):
    do(card, "hub", ada)
    take_answer(card, made.asked("rim", revision=2), by=ada)
    assert made.task_of(card, "hub").state == "done"


def test_what_was_dropped_comes_back_with_the_next_answer(card, ada):
    take_answer(card, made.asked("rim", revision=2), by=ada)
    part = made.row_of(card, "cones").part
    again = made.asked("hub", "rim", parts=(("hub", part, 2),), revision=3)
    take_answer(card, again, by=ada)
    assert made.task_of(card, "hub").state == "to_do"
    assert Task.objects.filter(card=card, code="hub").count() == 1
    assert made.row_of(card, "cones").reserved == 2


def test_more_of_a_part_is_set_aside_and_what_is_drawn_counts(card, ada):
    row = made.row_of(card, "cones")
    draw_part(row, quantity=Decimal(1), by=ada, key="d1")
    more = made.asked("hub", "rim", parts=(("hub", row.part, 4),), revision=2)
    take_answer(card, more, by=ada)
    row = made.row_of(card, "cones")
    assert (row.wanted, row.drawn, row.reserved, row.short) == (4, 1, 3, 0)
    less = made.asked("hub", "rim", parts=(("hub", row.part, 1),), revision=3)
    take_answer(card, less, by=ada)
    row = made.row_of(card, "cones")
    assert (row.wanted, row.reserved) == (1, 0)
    assert list(problems()) == []


def test_the_same_answer_twice_is_taken_once(card, ada):
    work = made.asked("hub", "rim", revision=2)
    take_answer(card, work, by=ada)
    take_answer(card, work, by=ada)
    assert card.events.filter(action="take_answer").count() == 1


def test_an_answer_voids_the_signatures(card, ada, ben, finish):
    from workshop.jobcards.verbs.sign import sign

    item = made.release_item("brakes")
    finish(card, ada)
    sign(card, item, by=ben, key="s1")
    take_answer(card, made.asked("hub", "rim", revision=2), by=ada)
    assert not card.checks.exists()


def test_parts_for_other_cards_are_left_alone(card, ada):
    made.operation("bell")
    other = made.a_card(made.asked("bell", parts=(("bell", stocked(1, code="bell"), 1),)))
    take_answer(card, made.asked("rim", revision=2), by=ada)
    assert made.row_of(other, "bell").reserved == 1
