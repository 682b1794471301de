"""The spread of actual against standard minutes, and what is learned of an operation."""

import random
from statistics import median

import pytest
from hypothesis import given
from hypothesis import strategies as st

from workshop.core.spread import LEAST_CARDS, USUAL, Spread, learned_from, spread_of


def test_too_few_cards_leave_the_usual_spread():
    assert spread_of([2.0] * (LEAST_CARDS - 1)) == USUAL
    assert not USUAL.is_own


def test_enough_cards_give_the_shops_own():
    spread = spread_of([1.0, 1.4] * 10)
    assert spread.is_own
    assert spread.mean == pytest.approx(1.2)
    assert spread.sd == pytest.approx(0.2 * (20 / 19) ** 0.5 * (1 + 1 / 20) ** 0.5)


def test_reserves_add_up_as_squares_do():
    spread = Spread(1, 0.5)
    assert spread.reserve([30, 40], 0.8) == pytest.approx(spread.reserve([50], 0.8))
    assert spread.reserve([30, 40], 0.5) == pytest.approx(0)


@given(st.lists(st.floats(0, 500), max_size=8), st.floats(0, 100), st.floats(0.5, 0.9))
def test_more_work_always_counts_more(standards, more, share):
    spread = Spread(1.1, 0.6)
    total = sum(standards) * spread.mean + spread.reserve(standards, share)
    grown = [*standards, more]
    assert sum(grown) * spread.mean + spread.reserve(grown, share) >= total - 1e-9


def test_four_cases_suggest_nothing():
    learned = learned_from(10, [20, 20, 20, 20])
    assert (learned.median, learned.low, learned.suggested) == (20, None, None)


def test_five_cases_that_all_took_longer_suggest_their_median():
    assert learned_from(10, [14, 15, 16.4, 18, 30]).suggested == 16


def test_a_standard_time_among_the_cases_stays():
    assert learned_from(15, [14, 15, 16.4, 18, 30]).suggested is None


def test_a_difference_below_a_tenth_is_none():
    assert learned_from(100, [105] * 9).suggested is None


def test_nothing_is_learned_from_nothing():
    with pytest.raises(ValueError, match="case"):
        learned_from(10, [])


@pytest.mark.parametrize(
    ("count", "cut"), [(5, 0), (7, 0), (8, 1), (20, 5), (100, 41), (3000, 1454)]
)
def test_what_is_left_out_at_either_end(count, cut):
    """Against the two-sided 10 % points of the sign test."""
    learned = learned_from(1, list(range(count)))
    assert (learned.low, learned.high) == (cut, count - 1 - cut)


@pytest.mark.parametrize("count", [5, 8, 13, 40])
def test_the_range_holds_the_median_in_nine_of_ten_samples(count):
    rng = random.Random(11)
    true = median(rng.lognormvariate(3, 0.6) for _ in range(100_001))
    inside = 0
    for _ in range(2000):
        learned = learned_from(1, [rng.lognormvariate(3, 0.6) for _ in range(count)])
        inside += learned.low <= true <= learned.high
    assert inside / 2000 >= 0.89
