"""What must hold of a promise, whatever the queue and the hours are."""

import datetime as dt
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from workshop.core.benchtime import BenchDay, BenchTime, Shift
from workshop.core.promise import Held, Odds, Work, day_words, forecast
from workshop.core.spread import USUAL, Spread

MONDAY = dt.date(2026, 3, 2)
EXACT = Spread(1, 0)
LONG = 250
LAST = dt.date.max


def days(*people, count=LONG, first=MONDAY):
    """Return days from a Monday on, Monday to Friday, with these minutes of each person."""
    made = []
    for number in range(count):
        day = first + dt.timedelta(days=number)
        made.append(BenchDay(day, tuple(people)) if day.weekday() < 5 else BenchDay(day))
    return made


def day_of(queue, bench, spread=EXACT, share=0.8):
    return forecast(queue, bench, spread, share)[-1].day


def test_one_person_one_card_after_the_other():
    queue = [Work("a", 200), Work("b", 200), Work("c", 200)]
    promised = forecast(queue, days(300), EXACT, 0.8)
    assert [each.day.day for each in promised] == [2, 3, 3]
    assert [each.begins.day for each in promised] == [2, 2, 3]


def test_a_card_is_in_one_persons_hands_so_two_do_not_halve_it():
    assert day_of([Work("a", 600)], days(300, 300)).day == 3


def test_a_card_before_it_keeps_only_one_person_busy():
    assert day_of([Work("a", 900), Work("b", 250)], days(300, 300)).day == 2


def test_what_is_awaited_is_worked_with_on_the_next_day_and_the_rest_before():
    held = Held(60, MONDAY + dt.timedelta(days=2), "brake pads")
    promised = forecast([Work("a", 100, (held,), 30)], days(300), EXACT, 0.8)[0]
    assert promised.day == MONDAY + dt.timedelta(days=3)
    assert promised.begins == MONDAY
    assert "Waits until Wed 4 Mar: brake pads." in promised.reasons


def test_who_comes_behind_goes_ahead_while_the_first_one_waits():
    held = Held(300, MONDAY + dt.timedelta(days=1), "a rim")
    first, second = forecast([Work("a", held=(held,)), Work("b", 300)], days(300), EXACT, 0.8)
    assert (first.day.day, second.day.day) == (4, 2)


def test_the_reserve_of_a_share_is_taken_off_the_normal_distribution():
    promised = forecast([Work("a", 100)], days(300), Spread(1.2, 0.4), 0.8)[0]
    assert promised.expected == pytest.approx(120)
    assert promised.counted == pytest.approx(120 + 0.8416 * 40, abs=0.01)


@pytest.mark.parametrize(("minutes", "day"), [(247, 3), (248, 2)])
def test_that_the_card_before_may_take_longer_too_is_reserved_for(minutes, day):
    # 100 on average before it, and 100 + 0.8416 * 40 * sqrt(2) with the reserve of both: 247.6
    queue = [Work("a", 100), Work("b", 100)]
    assert day_of(queue, days(minutes), Spread(1, 0.4)).day == day


def test_without_hours_there_is_no_day_and_the_reason_says_so():
    promised = forecast([Work("a", 100)], days(), EXACT, 0.8)[0]
    assert promised.day is None
    assert "There is too little bench time in the days looked at." in promised.reasons
    assert forecast([Work("a", 100)], [], EXACT, 0.8)[0].day is None


def test_a_card_with_nothing_left_is_done_on_the_first_day_with_hours():
    saturday = MONDAY + dt.timedelta(days=5)
    assert day_of([Work("a")], days(300, first=saturday)) == MONDAY + dt.timedelta(days=7)


def test_a_share_beyond_what_can_be_promised_is_refused():
    with pytest.raises(ValueError, match="share"):
        forecast([Work("a", 10)], days(300), EXACT, 0.95)


def test_a_closed_day_stands_among_the_reasons():
    closed = [replace(days(300)[0], people=(), closed="stocktaking"), *days(300)[1:]]
    promised = forecast([Work("a", 10)], closed, EXACT, 0.8)[0]
    assert promised.day == MONDAY + dt.timedelta(days=1)
    assert "Mon 2 Mar is closed: stocktaking." in promised.reasons


def test_days_are_said_as_people_say_them():
    assert day_words(dt.date(2026, 12, 4)) == "Fri 4 Dec"


minutes = st.floats(0, 400, allow_nan=False)
holds = st.builds(
    Held,
    minutes,
    st.integers(-3, 20).map(lambda each: MONDAY + dt.timedelta(days=each)),
    st.just("a part"),
)
works = st.builds(Work, st.just("x"), minutes, st.lists(holds, max_size=2).map(tuple), minutes)
queues = st.lists(works, min_size=1, max_size=6)
patterns = st.lists(  # a fortnight's days, each with up to four people
    st.lists(st.floats(5, 480), max_size=4), min_size=14, max_size=14
).filter(lambda weeks: sum(map(sum, weeks)) > 100)
spreads = st.builds(Spread, st.floats(0.6, 2), st.floats(0, 1))
shares = st.floats(0.5, 0.9)


def bench(pattern, count=LONG):
    """Return days whose people repeat every fortnight."""
    return [
        BenchDay(
            MONDAY + dt.timedelta(days=number),
            tuple(sorted(pattern[number % len(pattern)], reverse=True)),
            "" if pattern[number % len(pattern)] else "closed",
        )
        for number in range(count)
    ]


def not_earlier(day, than):
    """Tell whether a day, None being beyond all, is no earlier than another."""
    return day is None or (than is not None and day >= than)


@given(queues, patterns, spreads, shares, st.data())
def test_more_work_never_gives_an_earlier_day(queue, pattern, spread, share, data):
    place = data.draw(st.integers(0, len(queue) - 1))
    which = data.draw(st.sampled_from(["free", "last", "held"]))
    more, work = data.draw(st.floats(0, 600)), queue[place]
    if which == "held" and work.held:
        first = replace(work.held[0], minutes=work.held[0].minutes + more)
        grown = replace(work, held=(first, *work.held[1:]))
    else:
        name = "last" if which == "last" else "free"
        grown = replace(work, **{name: getattr(work, name) + more})
    before = forecast(queue, bench(pattern), spread, share)
    after = forecast([*queue[:place], grown, *queue[place + 1 :]], bench(pattern), spread, share)
    for old, new in zip(before, after, strict=True):
        assert not_earlier(new.day, old.day)


@given(queues, works, patterns, spreads, shares, st.data())
def test_one_more_card_in_the_queue_never_gives_an_earlier_day(
    queue, extra, pattern, spread, share, data
):
    place = data.draw(st.integers(0, len(queue)))
    before = forecast(queue, bench(pattern), spread, share)
    after = forecast([*queue[:place], extra, *queue[place:]], bench(pattern), spread, share)
    del after[place]
    for old, new in zip(before, after, strict=True):
        assert not_earlier(new.day, old.day)


@given(queues, patterns, spreads, shares, st.data())
def test_waiting_longer_never_gives_an_earlier_day(queue, pattern, spread, share, data):
    delay = dt.timedelta(days=data.draw(st.integers(0, 20)))
    *ahead, own = queue
    later = replace(own, held=tuple(replace(each, until=each.until + delay) for each in own.held))
    old = day_of(queue, bench(pattern), spread, share)
    assert not_earlier(day_of([*ahead, later], bench(pattern), spread, share), old)


@given(queues, patterns, spreads, shares, st.data())
def test_more_hours_never_give_a_later_day(queue, pattern, spread, share, data):
    weekday = data.draw(st.integers(0, len(pattern) - 1))
    more = data.draw(st.floats(1, 300))
    people = list(pattern[weekday])
    if people and data.draw(st.booleans()):
        people[data.draw(st.integers(0, len(people) - 1))] += more
    else:
        people.append(more)
    richer = [*pattern[:weekday], people, *pattern[weekday + 1 :]]
    before = forecast(queue, bench(pattern), spread, share)
    after = forecast(queue, bench(richer), spread, share)
    for old, new in zip(before, after, strict=True):
        assert not_earlier(old.day, new.day)


@given(queues, patterns, spreads, shares, shares)
def test_a_greater_share_never_gives_an_earlier_day(queue, pattern, spread, share, other):
    low, high = sorted((share, other))
    old = day_of(queue, bench(pattern), spread, low)
    assert not_earlier(day_of(queue, bench(pattern), spread, high), old)


@given(queues, patterns, spreads, shares)
def test_a_promise_is_never_for_a_closed_day(queue, pattern, spread, share):
    there = {each.day: each for each in bench(pattern)}
    for promise in forecast(queue, bench(pattern), spread, share):
        for day in filter(None, (promise.day, promise.begins)):
            assert there[day].people
            assert not there[day].closed


@given(queues, patterns)
def test_without_any_spread_the_day_is_no_earlier_than_all_hands_could_be_done(queue, pattern):
    """All work up to a card fits into the bench time up to its day, where nothing is awaited."""
    plain = [Work(each.key, each.free + each.last) for each in queue]
    for promise, work in zip(forecast(plain, bench(pattern), EXACT, 0.5), plain, strict=True):
        if promise.day is None:
            continue
        until = [each for each in bench(pattern) if each.day <= promise.day]
        longest = sum(max(each.people, default=0) for each in until)
        assert longest >= work.standard - 0.01


def test_the_hours_of_a_week_make_the_days():
    shift = Shift("tom", 0, dt.time(9), dt.time(17), pause=30, bench_share=0.8)
    time = BenchTime((shift,))
    now = dt.datetime(2026, 3, 2, 13, 0)  # noqa: DTZ001 - the shop's own clock
    today, *_, next_week = time.days(now, 8)
    assert next_week.minutes == pytest.approx(0.8 * 450)
    assert today.minutes == pytest.approx(0.4 * 450)
    assert day_of([Work("a", 200)], time.days(now, 60), USUAL) == dt.date(2026, 3, 9)


def late_held(number, chance, name="P1", minutes=60):
    """Return work that awaits something from a Monday on, and surely has it so many days later."""
    latest = MONDAY + dt.timedelta(days=number)
    return Held(minutes, MONDAY, "a rim", latest, frozenset({Odds(name, chance)}))


def test_what_is_there_nearly_always_is_not_waited_for_until_it_surely_is():
    early, held = Spread(1, 0.1), late_held(9, 0.95)
    promised = forecast([Work("a", held=(held,))], days(300), early, 0.8)[0]
    assert promised.day == MONDAY + dt.timedelta(days=1)
    assert "84\u00a0% of such cards are done" in " ".join(promised.reasons)


def test_what_is_there_too_seldom_is_waited_for_until_it_surely_is():
    promised = forecast([Work("a", held=(late_held(9, 0.8),))], days(300), USUAL, 0.8)[0]
    assert promised.day == MONDAY + dt.timedelta(days=10)
    assert "Waits until Wed 11 Mar: a rim." in promised.reasons


def test_two_parts_of_one_order_come_together_and_of_two_orders_do_not():
    one = Work("a", held=(late_held(9, 0.9), late_held(9, 0.9, minutes=30)))
    two = Work("a", held=(late_held(9, 0.9), late_held(9, 0.9, "P2", minutes=30)))
    assert one.chance == pytest.approx(0.9)
    assert two.chance == pytest.approx(0.81)
    assert day_of([one], days(300), USUAL) < day_of([two], days(300), USUAL)


@given(works, st.integers(0, 20), st.floats(0.5, 1), spreads)
def test_odds_give_a_day_between_its_own_and_the_latest(work, later, chance, spread):
    awaited = late_held(later, chance)
    odds, own = (
        replace(work, held=(awaited,)),
        replace(work, held=(replace(awaited, odds=frozenset()),)),
    )
    bench = days(300, 200)
    first, between, last = (day_of([each], bench, spread) for each in (own, odds, odds.surely))
    assert (first or LAST) <= (between or LAST) <= (last or LAST)
