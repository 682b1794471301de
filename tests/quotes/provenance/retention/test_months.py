"""Counting months back."""

import datetime as dt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quotes.provenance.retention.months import months_before


@pytest.mark.parametrize(
    ("day", "months", "before"),
    [
        ("2026-05-20", 6, "2025-11-20"),
        ("2026-08-31", 6, "2026-02-28"),
        ("2028-08-31", 6, "2028-02-29"),
        ("2026-01-31", 1, "2025-12-31"),
        ("2026-05-20", 72, "2020-05-20"),
    ],
)
def test_a_day_some_months_earlier(day, months, before):
    assert months_before(dt.date.fromisoformat(day), months) == dt.date.fromisoformat(before)


@given(st.dates(dt.date(1950, 1, 1), dt.date(2100, 1, 1)), st.integers(0, 600))
def test_it_lies_that_many_months_before_and_never_later_in_its_month(day, months):
    before = months_before(day, months)
    assert (day.year - before.year) * 12 + day.month - before.month == months
    assert before.day <= day.day
