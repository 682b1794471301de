"""Bench time of a day from weekly hours, absences and closed days."""

import datetime as dt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from workshop.core.benchtime import Away, BenchTime, Shift

MONDAY = dt.date(2026, 3, 2)
TOM = Shift("tom", 0, dt.time(9), dt.time(17), pause=60, bench_share=0.7)
MINA = Shift("mina", 0, dt.time(12), dt.time(16))


def test_the_longest_day_stands_first():
    day = BenchTime((MINA, TOM)).on(MONDAY)
    assert day.people == (pytest.approx(294), 240)
    assert day.minutes == pytest.approx(534)


def test_who_is_away_does_not_count_on_the_first_nor_on_the_last_day():
    time = BenchTime((TOM, MINA), (Away("tom", MONDAY, MONDAY + dt.timedelta(days=7)),))
    assert time.on(MONDAY).people == (240,)
    assert time.on(MONDAY + dt.timedelta(days=7)).people == (240,)
    assert len(time.on(MONDAY + dt.timedelta(days=14)).people) == 2


def test_a_closed_day_has_no_minutes_and_says_why():
    day = BenchTime((TOM,), closed={MONDAY: "Easter"}).on(MONDAY)
    assert (day.people, day.minutes, day.closed) == ((), 0, "Easter")


def test_after_closing_time_nothing_is_left_of_today():
    time = BenchTime((TOM,))
    assert time.on(MONDAY, dt.time(17)).people == ()
    assert time.on(MONDAY, dt.time(8)) == time.on(MONDAY)


@pytest.mark.parametrize(
    "wrong",
    [{"ends": dt.time(9)}, {"pause": 480}, {"pause": -1}, {"bench_share": 1.2}],
)
def test_what_cannot_be_a_shift_is_refused(wrong):
    fields = {"starts": dt.time(9), "ends": dt.time(17)} | wrong
    with pytest.raises(ValueError, match=r"shift|share"):
        Shift("tom", 0, **fields)


@given(st.times(), st.times())
def test_what_is_left_of_a_day_only_shrinks(one, other):
    early, late = sorted((one, other))
    assert TOM.minutes(early) >= TOM.minutes(late) >= 0
    assert TOM.minutes(early) <= TOM.minutes()
