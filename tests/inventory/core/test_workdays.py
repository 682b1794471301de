"""Working days, held to numpy's calendar of business days."""

import datetime as dt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.core import workdays


@given(day=st.dates(dt.date(2000, 1, 1), dt.date(2100, 1, 1)), days=st.integers(1, 365))
def test_they_are_numpys(day, days):
    expected = np.busday_offset(day, days, roll="backward").astype(dt.date)
    assert workdays.after(day, days) == expected


def test_none_is_the_day_itself():
    saturday = dt.date(2026, 11, 28)
    assert workdays.after(saturday, 0) == saturday
    with pytest.raises(ValueError, match="forward"):
        workdays.after(saturday, -1)


@given(day=st.dates(dt.date(2000, 1, 1), dt.date(2100, 1, 1)), away=st.integers(-30, 60))
def test_a_later_day_is_reached_and_a_working_day_less_does_not_reach_it(day, away):
    later = day + dt.timedelta(days=away)
    count = workdays.until(day, later)
    assert workdays.after(day, count) >= later
    assert not count or workdays.after(day, count - 1) < later
