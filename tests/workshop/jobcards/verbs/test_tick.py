"""Ticking: once, by one person, with the truth for the other; times beside it."""

import datetime as dt

import pytest
from django.utils import timezone

from tests.factories import jobcards as made
from workshop.core.cardstates import CardStateError
from workshop.jobcards.errors import KeyClashError, StaleTaskError, TaskStandsError
from workshop.jobcards.models import CardEvent, TimeSpan
from workshop.jobcards.verbs.sign import sign
from workshop.jobcards.verbs.tick import tick, untick
from workshop.jobcards.verbs.times import start_time, stop_time

pytestmark = pytest.mark.django_db


@pytest.fixture
def hub(card):
    return made.task_of(card, "hub")


def test_a_tick_says_who_and_when_and_starts_the_card(card, hub, ada):
    ticked = tick(hub, by=ada, key="k1", base_version=1)
    assert (ticked.state, ticked.done_by, ticked.version) == ("done", ada, 2)
    assert abs(timezone.now() - ticked.done_at).total_seconds() < 60
    card.refresh_from_db()
    assert card.state == "working"
    assert card.events.get().words == "ticked: Hub"


def test_the_same_tick_sent_twice_is_one(card, hub, ada):
    tick(hub, by=ada, key="k1", base_version=1)
    again = tick(hub, by=ada, key="k1", base_version=1)
    assert again.version == 2
    assert CardEvent.objects.count() == 1


def test_a_tick_that_arrives_again_after_it_was_taken_back_stays_back(card, hub, ada):
    tick(hub, by=ada, key="k1", base_version=1)
    untick(hub, by=ada, key="k2", base_version=2)
    assert tick(hub, by=ada, key="k1", base_version=1).state == "to_do"


def test_of_two_one_wins_and_the_other_hears_who_and_when(card, hub, ada, ben):
    tick(hub, by=ada, key="k1", base_version=1)
    with pytest.raises(StaleTaskError, match=r"Hub: Ada Lune has ticked it at \d\d:\d\d") as error:
        tick(hub, by=ben, key="k2", base_version=1)
    assert error.value.task.done_by == ada
    assert CardEvent.objects.count() == 1


def test_whoever_saw_the_tick_cannot_tick_again(card, hub, ada, ben):
    tick(hub, by=ada, key="k1", base_version=1)
    with pytest.raises(TaskStandsError, match="Ada Lune"):
        tick(hub, by=ben, key="k2", base_version=2)


def test_a_tick_is_taken_back_and_made_again(card, hub, ada, ben):
    tick(hub, by=ada, key="k1", base_version=1)
    back = untick(hub, by=ben, key="k2", base_version=2)
    assert (back.state, back.done_by, back.done_at) == ("to_do", None, None)
    assert tick(hub, by=ben, key="k3", base_version=3).done_by == ben
    with pytest.raises(StaleTaskError, match="has ticked it"):
        untick(hub, by=ada, key="k4", base_version=2)


def test_a_key_used_for_something_else_is_refused(card, hub, ada):
    tick(hub, by=ada, key="k1", base_version=1)
    with pytest.raises(KeyClashError):
        tick(made.task_of(card, "rim"), by=ada, key="k1", base_version=1)


def test_with_the_last_tick_the_card_is_to_be_checked_and_untick_voids_signatures(
    card, ada, ben, finish
):
    item = made.release_item("brakes")
    finish(card, ada)
    assert card.state == "checking"
    sign(card, item, by=ben, key="s1")
    hub = made.task_of(card, "hub")
    untick(hub, by=ada, key="k9", base_version=hub.version)
    card.refresh_from_db()
    assert card.state == "working"
    assert not card.checks.exists()


def test_nothing_is_ticked_while_the_card_is_checked(card, ada, finish):
    finish(card, ada)
    hub = made.task_of(card, "hub")
    with pytest.raises(TaskStandsError):
        tick(hub, by=ada, key="k9", base_version=hub.version)
    with pytest.raises(CardStateError):
        sign_too_early(made.a_card(made.asked(made.operation("bell"))), ada)


def sign_too_early(card, person):
    sign(card, made.release_item("early"), by=person, key="s1")


# times


def test_time_runs_for_one_task_at_a_time(card, hub, ada):
    rim = made.task_of(card, "rim")
    first = start_time(hub, by=ada, key="t1")
    second = start_time(rim, by=ada, key="t2")
    first.refresh_from_db()
    assert first.stopped_at is not None
    assert second.stopped_at is None
    stop_time(rim, by=ada, key="t3")
    stop_time(rim, by=ada, key="t3")
    stop_time(rim, by=ada, key="t4")
    assert not TimeSpan.objects.filter(stopped_at__isnull=True).exists()


def test_two_people_may_work_on_one_task(card, hub, ada, ben):
    start_time(hub, by=ada, key="t1")
    start_time(hub, by=ben, key="t2")
    assert TimeSpan.objects.filter(stopped_at__isnull=True).count() == 2


def test_to_start_twice_is_one_start(card, hub, ada):
    assert start_time(hub, by=ada, key="t1") == start_time(hub, by=ada, key="t2")
    stop_time(hub, by=ada, key="t3")
    again = start_time(hub, by=ada, key="t1")
    assert again.stopped_at is not None
    assert TimeSpan.objects.count() == 1


def test_a_tick_stops_the_time_of_everybody_who_works_on_it(card, hub, ada, ben):
    start_time(hub, by=ada, key="t1")
    start_time(hub, by=ben, key="t2")
    tick(hub, by=ada, key="k1", base_version=1)
    assert not TimeSpan.objects.filter(stopped_at__isnull=True).exists()
    assert TimeSpan.objects.count() == 2


def test_no_time_runs_on_what_is_done(card, hub, ada):
    tick(hub, by=ada, key="k1", base_version=1)
    with pytest.raises(TaskStandsError):
        start_time(hub, by=ada, key="t1")


# told later than it was done


@pytest.fixture
def opened_long_ago(card):
    card.opened_at = timezone.now() - dt.timedelta(days=2)
    card.save()
    return card


def ago(minutes):
    return timezone.now() - dt.timedelta(minutes=minutes)


def minutes_on(task):
    return [
        round((each.stopped_at - each.started_at).total_seconds() / 60)
        for each in TimeSpan.objects.filter(task=task)
    ]


def test_time_that_is_told_later_is_as_long_as_it_was(opened_long_ago, hub, ada):
    start_time(hub, by=ada, key="t1", at=ago(90))
    stop_time(hub, by=ada, key="t2", at=ago(70))
    start_time(hub, by=ada, key="t3", at=ago(60))
    ticked = tick(hub, by=ada, key="k1", base_version=1, at=ago(45))
    assert minutes_on(hub) == [20, 15]
    assert ticked.done_at < ago(44)
    words = [each.words for each in opened_long_ago.events.all()]
    assert all("without a connection" in each for each in words)


def test_a_start_that_is_told_later_stops_what_ran_then(opened_long_ago, hub, ada):
    rim = made.task_of(opened_long_ago, "rim")
    start_time(hub, by=ada, key="t1", at=ago(60))
    start_time(rim, by=ada, key="t2", at=ago(30))
    stop_time(rim, by=ada, key="t3", at=ago(25))
    assert (minutes_on(hub), minutes_on(rim)) == ([30], [5])


def test_nobody_is_reckoned_to_have_been_at_two_things(opened_long_ago, hub, ada):
    rim = made.task_of(opened_long_ago, "rim")
    start_time(rim, by=ada, key="t1", at=ago(60))
    stop_time(rim, by=ada, key="t2", at=ago(20))
    start_time(hub, by=ada, key="t3", at=ago(50))
    stop_time(hub, by=ada, key="t4", at=ago(10))
    assert (minutes_on(rim), minutes_on(hub)) == ([40], [10])


def test_nothing_ends_before_it_began(opened_long_ago, hub, ada):
    start_time(hub, by=ada, key="t1")
    stop_time(hub, by=ada, key="t2", at=ago(30))
    assert minutes_on(hub) == [0]


@pytest.mark.parametrize("minutes", [60 * 24 * 30, -60])
def test_nothing_is_done_before_the_card_was_opened_nor_in_the_future(card, hub, ada, minutes):
    ticked = tick(hub, by=ada, key="k1", base_version=1, at=ago(minutes))
    assert card.opened_at <= ticked.done_at <= timezone.now()


def test_what_is_told_at_once_says_nothing_of_it(card, hub, ada):
    tick(hub, by=ada, key="k1", base_version=1, at=timezone.now() - dt.timedelta(seconds=5))
    assert card.events.get().words == "ticked: Hub"
