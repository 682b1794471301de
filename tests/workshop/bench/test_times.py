"""Actual against standard minutes, of cards and of operations."""

import datetime as dt
from decimal import Decimal

import pytest
from django.utils import timezone

from tests.factories import bench as made
from tests.factories.jobcards import a_card, asked, operation
from workshop.bench.times import card_ratios, operation_times
from workshop.jobcards.asked import TaskAsked
from workshop.jobcards.models import Task
from workshop.labour.models import Operation

pytestmark = pytest.mark.django_db


def done(code="hub", minutes=10, actual=15.0, quoted=None):
    """Return a card of one operation that was done in so many minutes."""
    if not Operation.objects.filter(code=code).exists():
        operation(code, minutes=Decimal(minutes))
    one = asked(code)
    task = TaskAsked(code, "Hub", Decimal(quoted or minutes))
    card = a_card(type(one)(one.quote_number, 1, one.revision_key, (task,)))
    return made.finished(card, actual / float(task.minutes))


def learned():
    return {each.operation.code: each.learned for each in operation_times()}


def test_cards_give_actual_over_standard():
    done(actual=15)
    done(actual=8)
    assert sorted(card_ratios()) == pytest.approx([0.8, 1.5])


def test_a_card_with_a_task_that_was_not_timed_tells_nothing():
    operation("hub")
    operation("rim")
    card = a_card(asked("hub", "rim"))
    made.finished(card, 1.0)
    Task.objects.get(card=card, code="rim").spans.all().delete()
    assert card_ratios() == []


def test_a_clock_that_ran_over_night_and_a_tick_in_passing_tell_nothing():
    done(actual=11 * 60)
    done(actual=0.5)
    assert card_ratios() == []
    assert learned() == {}


def test_an_open_card_tells_nothing_yet():
    operation("hub")
    a_card(asked("hub"))
    assert card_ratios() == []


def test_an_operation_shows_median_and_cases():
    for actual in (14, 20, 15):
        done(actual=actual)
    assert (learned()["hub"].median, learned()["hub"].cases) == (pytest.approx(15), 3)
    assert learned()["hub"].suggested is None


def test_five_cases_above_the_standard_suggest_another():
    for actual in (14, 15, 15.6, 17, 22):
        done(actual=actual)
    assert learned()["hub"].suggested == 16


def test_several_at_once_count_as_one_each():
    done(minutes=2, quoted=12, actual=18)
    assert learned()["hub"].median == pytest.approx(3)


def test_what_was_quoted_at_another_standard_time_is_left_out():
    done(minutes=10, quoted=12, actual=18)
    assert learned() == {}


def test_a_changed_standard_time_begins_anew():
    """Half as long as before, old cases would look like two at once."""
    for _ in range(5):
        done(minutes=10, actual=15)
    changed = Operation.objects.get(code="hub")
    changed.minutes = Decimal(5)
    changed.save()
    assert learned() == {}
    Operation.history.update(history_date=timezone.now() - dt.timedelta(days=1))
    done(minutes=5, actual=6)
    assert learned()["hub"].cases == 6


def test_what_has_a_suggestion_stands_first():
    done(code="axle", actual=10)
    for _ in range(5):
        done(code="rim", actual=20)
    assert [each.operation.code for each in operation_times()] == ["rim", "axle"]


@pytest.mark.parametrize("cards", [1, 6])
def test_times_take_the_same_queries_however_many_cards(django_assert_num_queries, cards):
    for number in range(cards):
        done(code=f"work-{number}")
    with django_assert_num_queries(4):
        operation_times()
    with django_assert_num_queries(3):
        card_ratios()
