"""What the board says of cards: the day, what stops them, how full the weeks are."""

import datetime as dt
from decimal import Decimal

import pytest

from tests.factories import bench as made
from tests.factories.jobcards import a_card, a_key, asked, found, operation
from tests.factories.parts import PartFactory
from tests.factories.people import UserFactory
from tests.factories.stock import stocked
from workshop.bench.board import board_of
from workshop.bench.promising import forecast_now
from workshop.bench.standing import Stop
from workshop.jobcards.asked import TaskAsked
from workshop.jobcards.models import ExtraWork, Task
from workshop.jobcards.verbs.times import start_time

pytestmark = pytest.mark.usefixtures("monday")
MON, TUE, FRI = dt.date(2026, 3, 2), dt.date(2026, 3, 3), dt.date(2026, 3, 6)


def board():
    return board_of(forecast_now())


def row_of(card):
    return next(each for each in board().rows if each.card == card)


def stop_tasks(card):
    """Stop all tasks of a card by extra work that the customer is asked about."""
    extra = ExtraWork.objects.create(
        card=card, finding=found(card.inspection, f"fault-{card.pk}"), by=UserFactory.create()
    )
    Task.objects.filter(card=card).update(state="stopped", extra=extra)


def test_a_card_with_everything_there_can_go_on(work):
    made.at_bench()
    assert row_of(a_card(work(10, (stocked(2), 1)))).stop is Stop.GOES_ON


def test_a_card_waits_for_parts_where_no_task_can_go_on(work):
    made.at_bench()
    row = row_of(a_card(work(10, (PartFactory.create(name="Hub"), 1))))
    assert row.stop is Stop.PARTS
    assert row.notes == ["until Mon 9 Mar: 1 × Hub, not ordered yet"]


def test_a_card_of_which_some_can_go_on_goes_on_and_tells_what_it_waits_for():
    made.at_bench()
    operation("hub")
    operation("rim")
    card = a_card(asked("hub", "rim", parts=(("hub", PartFactory.create(name="Cone"), 2),)))
    row = row_of(card)
    assert row.stop is Stop.GOES_ON
    assert row.notes == ["until Mon 9 Mar: 2 × Cone, not ordered yet"]


def test_nothing_is_opened_up_for_what_can_not_go_on():
    """Access and the task behind it wait together; closing comes last."""
    made.at_bench()
    operation("hub", "wheel-out")
    card = a_card(asked("hub", parts=(("hub", PartFactory.create(), 2),)))
    work = row_of(card).standing.work
    opening = Task.objects.get(card=card, kind="open").minutes
    closing = Task.objects.get(card=card, kind="close").minutes
    assert work.free == 0
    assert work.held[0].minutes == pytest.approx(float(10 + opening))
    assert work.last == pytest.approx(float(closing))


def test_a_card_waits_for_the_customer_where_extra_work_stops_all(work):
    made.at_bench()
    card = a_card(work(10))
    stop_tasks(card)
    row = row_of(card)
    assert row.stop is Stop.CUSTOMER
    assert row.notes == ["until Wed 4 Mar: the customer’s answer to extra work"]
    assert row.promise.day == dt.date(2026, 3, 5)


def test_an_answer_that_is_overdue_is_taken_to_come_today(work):
    made.at_bench()
    made.settings(share=Decimal("0.5"), answer_days=2)
    card = a_card(work(10))
    stop_tasks(card)
    ExtraWork.objects.update(at=dt.datetime(2026, 2, 2, 9, tzinfo=dt.UTC))
    assert row_of(card).promise.day == TUE


def test_somebody_at_it_stands_on_the_card(work):
    made.at_bench()
    card, ada = a_card(work(10)), UserFactory.create(first_name="Ada", last_name="Lune")
    start_time(card.tasks.get(), by=ada, key=a_key())
    row = row_of(card)
    assert (row.stop, row.notes) == (Stop.ON_BENCH, ["Ada Lune"])


def test_a_card_that_is_ticked_off_is_to_be_checked(work, settings_check):
    made.at_bench()
    card = a_card(work(10))
    Task.objects.filter(card=card).update(
        state="done", done_by=UserFactory.create(), done_at="2026-03-01T10:00:00Z"
    )
    card.state = "checking"
    card.save()
    row = row_of(card)
    assert row.stop is Stop.CHECK
    assert row.minutes == 20


@pytest.fixture
def settings_check():
    made.settings(share=Decimal("0.5"), check_minutes=20)


def test_who_finds_no_bench_time_on_the_first_day_waits_for_a_person(work):
    made.at_bench()
    first, second = a_card(work(450)), a_card(work(10))
    assert row_of(first).stop is Stop.GOES_ON
    row = row_of(second)
    assert row.stop is Stop.PERSON
    assert row.notes == ["bench time for it from Tue 3 Mar"]


def test_without_hours_everything_waits_for_a_person(work):
    row = row_of(a_card(work(10), promised_on=FRI))
    assert row.stop is Stop.PERSON
    assert row.is_late
    assert row.promise_words == "promised Fri 6 Mar, now expected no day within half a year"


def test_a_promise_that_will_not_be_kept_is_told(work):
    made.at_bench()
    card = a_card(work(500), promised_on=MON)
    row = row_of(card)
    assert row.is_late
    assert row.promise_words == "promised Mon 2 Mar, now expected Tue 3 Mar"
    assert board().late == [row]


def test_a_promise_that_will_be_kept_is_said_with_the_day_expected(work):
    made.at_bench()
    assert row_of(a_card(work(10), promised_on=FRI)).promise_words == (
        "promised Fri 6 Mar, expected Mon 2 Mar"
    )
    assert row_of(a_card(work(10))).promise_words == "no day promised, expected Mon 2 Mar"


def test_rails_by_day_begin_with_what_is_past_and_end_with_what_has_no_day(work):
    made.at_bench()
    a_card(work(10))
    a_card(work(10), promised_on=FRI)
    a_card(work(10), promised_on=TUE)
    a_card(work(10), promised_on=MON)
    a_card(work(10), promised_on=dt.date(2026, 2, 27))
    rails = board().by_day()
    assert [each.title for each in rails] == [
        "Past their day",
        "Today, Mon 2 Mar",
        "Tomorrow, Tue 3 Mar",
        "Fri 6 Mar",
        "No day promised",
    ]
    assert [each.is_past for each in rails] == [True, False, False, False, False]
    assert rails[1].note == "12 minutes of work promised, 480 at the bench"


def test_rails_by_what_stops_them_hold_each_card_once(work):
    made.at_bench()
    a_card(work(10))
    a_card(work(10, (PartFactory.create(), 1)))
    found_here = board()
    rails = found_here.by_stop()
    assert [each.title for each in rails] == ["Can go on", "Waits for parts"]
    assert sum(len(each.rows) for each in rails) == len(found_here.rows)


def test_an_overfull_week_carries_over_into_the_next(work):
    """2,400 minutes a week; 2,600 standard minutes take 2,990."""
    made.at_bench()
    for _ in range(2):
        a_card(work(1300), promised_on=FRI)
    a_card(work(100), promised_on=dt.date(2026, 3, 9))
    this, following, after = board().weeks()
    assert (this.cards, round(this.work), this.bench) == (2, 2990, 2400)
    assert this.words == "overfull by 590 minutes, which stand over into the next week"
    assert (round(following.carried), round(following.load)) == (590, 705)
    assert following.words == "1695 minutes are free"
    assert (after.carried, after.load_width) == (0, 0)
    assert this.load_width + this.over_width == 100


def test_weeks_reach_as_far_as_something_is_promised_but_not_for_ever(work):
    made.at_bench()
    a_card(work(10), promised_on=dt.date(2026, 4, 3))
    assert [each.monday.day for each in board().weeks()] == [2, 9, 16, 23, 30]
    a_card(work(10), promised_on=dt.date(2027, 4, 3))
    assert len(board().weeks()) == 8


def test_what_is_past_its_day_counts_into_this_week(work):
    made.at_bench()
    a_card(work(100), promised_on=dt.date(2026, 2, 20))
    assert round(board().weeks()[0].work) == 115


def test_a_part_that_came_in_and_is_not_set_aside_yet_is_not_waited_for(work):
    made.at_bench()
    part = PartFactory.create()
    card = a_card(work(10, (part, 1)))
    assert row_of(card).stop is Stop.PARTS
    from tests.factories.stock import come_in

    come_in(part, 1)
    assert row_of(card).stop is Stop.GOES_ON


def test_a_task_without_a_standard_time_waits_all_the_same():
    made.at_bench()
    part = PartFactory.create()
    one = asked("hand-over", parts=(("hand-over", part, 1),))
    task = TaskAsked("hand-over", "Hand over", Decimal(0), is_operation=False)
    card = a_card(type(one)(one.quote_number, 1, 77, (task,), one.parts))
    assert row_of(card).promise.day == dt.date(2026, 3, 10)
