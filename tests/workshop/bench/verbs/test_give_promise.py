"""Promising a customer a day."""

import datetime as dt
from decimal import Decimal

import pytest

from tests.factories import bench as made
from tests.factories.jobcards import a_card
from tests.factories.people import UserFactory
from workshop.bench.board import board_of
from workshop.bench.errors import BenchError
from workshop.bench.models import SpecialDay
from workshop.bench.promising import forecast_now
from workshop.bench.selectors import promises_kept, promises_of
from workshop.bench.verbs.give_promise import give_promise
from workshop.core.promise import Promise

MON, TUE, WED = (dt.date(2026, 3, day) for day in (2, 3, 4))


@pytest.fixture
def card(monday, work):
    """Return a card that is reckoned for Tuesday."""
    made.at_bench()
    return a_card(work(500))


def give(card, day, **more):
    found = board_of(forecast_now()).rows
    reckoned = next(each.promise for each in found if each.card == card)
    return give_promise(card, day, reckoned=reckoned, by=UserFactory.create(), **more)


def test_the_card_is_promised_and_what_was_reckoned_is_kept(card):
    version = card.version
    given = give(card, WED)
    card.refresh_from_db()
    assert (card.promised_on, card.version) == (WED, version + 1)
    assert (given.reckoned_on, given.share, given.why) == (TUE, Decimal("0.5"), "")
    assert "standard minutes" in given.reasons
    assert list(promises_of(card)) == [given]


def test_an_earlier_day_needs_a_reason(card):
    with pytest.raises(BenchError, match=r"done by Tue 3 Mar\. Say why") as refused:
        give(card, MON)
    assert refused.value.field == "why"
    card.refresh_from_db()
    assert card.promised_on is None
    assert give(card, MON, why="the customer leaves on Tuesday").why


def test_a_past_day_is_refused(card):
    with pytest.raises(BenchError, match="is past"):
        give(card, dt.date(2026, 2, 27), why="a slip")


def test_a_closed_day_is_refused(card):
    SpecialDay.objects.create(first=WED, last=WED, reason="stocktaking")
    with pytest.raises(BenchError, match="Wed 4 Mar is closed: stocktaking"):
        give(card, WED)


def test_a_released_bike_is_refused(card):
    made.finished(card, 1)
    with pytest.raises(BenchError, match="is released"):
        give_promise(
            card, WED, reckoned=Promise(card.number, TUE, 0.5, (), 0, 0, 0, None), by=card.opened_by
        )


def test_the_first_promise_is_what_is_judged(card, work):
    give(card, TUE)
    give(card, dt.date(2026, 3, 20))
    card.refresh_from_db()
    made.finished(card, 1)
    card.released_at = dt.datetime(2026, 3, 5, 12, tzinfo=dt.UTC)
    card.save()
    other = made.finished(a_card(work(10), promised_on=WED), 1)
    assert other.released_at.date() == MON
    kept = promises_kept()
    assert (kept.cards, kept.kept, kept.share) == (2, 1, 0.5)


def test_without_hours_nothing_is_reckoned_and_no_reason_is_asked(monday, work):
    card = a_card(work(10))
    given = give(card, WED)
    assert (given.reckoned_on, given.why) == (None, "")


def test_with_too_few_hours_a_reason_is_asked(monday, work):
    made.at_bench(weekdays=range(1), ends=9 * 60 + 1)
    card = a_card(work(10000))
    with pytest.raises(BenchError, match="no day within half a year"):
        give(card, WED)
