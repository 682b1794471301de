"""Medians of what sold bikes came to, and the bands of their ages."""

from dataclasses import replace
from decimal import Decimal
from statistics import median

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quotes.core.learned import Outcome, age_band, grouped, medians

ONE = Outcome(
    cost_planned=Decimal(80),
    cost=Decimal(95),
    minutes_planned=Decimal(60),
    minutes=Decimal(90),
    price_expected=Decimal(900),
    price=Decimal(880),
    profit_expected=Decimal(150),
    profit=Decimal(115),
    days=30,
)


def test_an_outcome_says_by_how_much_it_differs():
    assert (ONE.cost_over, ONE.price_over, ONE.profit_over) == (15, -20, -35)


def test_the_median_of_one_is_itself():
    found = medians([ONE], "GBP")
    assert (found.count, found.cost, found.days) == (1, 95, 30)
    assert (found.cost_over, found.price_over, found.profit_over) == (15, -20, -35)
    assert found.time_share == Decimal("1.50")


def test_between_two_the_middle_is_rounded_to_the_penny():
    other = replace(ONE, profit=Decimal("115.01"), days=31)
    found = medians([ONE, other], "GBP")
    assert found.profit == Decimal("115.01")
    assert found.days == 30


def test_bikes_without_noted_times_say_nothing_of_times():
    none = replace(ONE, minutes=None)
    assert medians([none], "GBP").time_share is None
    assert medians([none, ONE], "GBP").time_share == Decimal("1.50")
    assert medians([replace(ONE, minutes_planned=Decimal(0))], "GBP").time_share is None


def test_of_nothing_there_is_no_median():
    with pytest.raises(ValueError, match="no median"):
        medians([], "GBP")


@pytest.mark.parametrize(
    ("years", "band"),
    [
        (None, "age not known"),
        (0, "0 to 3 years"),
        (3, "0 to 3 years"),
        (4, "4 to 7 years"),
        (12, "8 to 12 years"),
        (20, "13 to 20 years"),
        (21, "over 20 years"),
    ],
)
def test_ages_fall_into_bands(years, band):
    assert age_band(years) == band


def test_the_largest_group_stands_first():
    groups = grouped([("a", ONE), ("b", ONE), ("b", ONE)], "GBP")
    assert [(name, each.count) for name, each in groups] == [("b", 2), ("a", 1)]


@given(st.lists(st.decimals(-5000, 5000, places=2), min_size=1, max_size=15))
def test_half_lie_on_either_side(profits):
    found = medians([replace(ONE, profit=each) for each in profits], "GBP").profit
    assert abs(found - median(profits)) <= Decimal("0.005")
