"""Tax periods: they follow one another without a gap and begin where they should."""

import datetime as dt
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quotes.core.periods import LENGTHS, Period, periods_between

DAYS = st.dates(dt.date(1990, 1, 1), dt.date(2080, 12, 31))


@given(DAYS, st.integers(0, 3000), st.sampled_from(LENGTHS), st.integers(1, 12))
def test_every_day_lies_in_exactly_one_period(first, days, months, begins_in):
    last = first + dt.timedelta(days=days)
    periods = periods_between(first, last, months=months, begins_in=begins_in)
    assert periods[0].starts_on == first
    assert last in periods[-1]
    for one, other in pairwise(periods):
        assert other.starts_on == one.ends_on + dt.timedelta(days=1)


@given(DAYS, st.sampled_from(LENGTHS), st.integers(1, 12))
def test_periods_after_the_first_begin_with_a_month_of_their_row(first, months, begins_in):
    last = first + dt.timedelta(days=1200)
    for each in periods_between(first, last, months=months, begins_in=begins_in)[1:]:
        assert each.starts_on.day == 1
        assert (each.starts_on.month - begins_in) % months == 0


def test_a_quarter_that_ends_in_february_ends_on_its_last_day():
    (only,) = periods_between(dt.date(2028, 1, 15), dt.date(2028, 2, 1), months=3, begins_in=3)
    assert only == Period(dt.date(2028, 1, 15), dt.date(2028, 2, 29))


def test_two_months_from_january_are_the_irish_periods():
    found = periods_between(dt.date(2026, 1, 1), dt.date(2026, 12, 31), months=2, begins_in=1)
    assert [each.ends_on.month for each in found] == [2, 4, 6, 8, 10, 12]


def test_no_period_lies_between_a_day_and_an_earlier_one():
    early, late = dt.date(2026, 1, 1), dt.date(2026, 1, 2)
    assert periods_between(late, early, months=1, begins_in=1) == ()


@pytest.mark.parametrize(("months", "begins_in"), [(4, 1), (0, 1), (3, 0), (3, 13)])
def test_strange_lengths_and_months_are_refused(months, begins_in):
    day = dt.date(2026, 1, 1)
    with pytest.raises(ValueError, match="months"):
        periods_between(day, day, months=months, begins_in=begins_in)
