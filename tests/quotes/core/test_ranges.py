"""Three-point estimates: mean, spread and quantiles, held against another library's beta."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from quotes.core.ranges import chance_within, from_tenths, three_point

FIGURES = st.decimals(0, 500, places=2)
SPREAD = st.lists(FIGURES, min_size=3, max_size=3).map(sorted).filter(lambda x: x[2] - x[0] >= 1)


def beta(estimate):
    alpha, shape = map(float, estimate.shape)
    width = float(estimate.high - estimate.low)
    return stats.beta(alpha, shape, loc=float(estimate.low), scale=width)


@given(SPREAD)
def test_mean_and_variance_are_those_of_the_beta(figures):
    estimate = three_point(*figures)
    assert float(estimate.mean) == pytest.approx(beta(estimate).mean(), rel=1e-9)
    assert float(estimate.variance_beta) == pytest.approx(beta(estimate).var(), rel=1e-9)


@given(SPREAD, st.floats(0, 1))
def test_quantiles_are_those_of_the_beta(figures, share):
    estimate = three_point(*figures)
    found = estimate.quantile(share)
    assert float(estimate.low) <= found <= float(estimate.high)
    assert beta(estimate).cdf(found) == pytest.approx(share, abs=1e-6)


@given(SPREAD)
def test_the_likely_figure_is_the_betas_peak(figures):
    estimate = three_point(*figures)
    alpha, shape = estimate.shape
    peak = estimate.low + (alpha - 1) / (alpha + shape - 2) * (estimate.high - estimate.low)
    assert abs(peak - estimate.likely) < Decimal("1e-20")


@given(SPREAD)
def test_the_mean_lies_between_low_and_high(figures):
    estimate = three_point(*figures)
    assert estimate.low <= estimate.mean <= estimate.high


def test_both_variances_agree_only_for_a_certain_shape():
    symmetric = three_point(Decimal(0), Decimal(3), Decimal(6))
    assert symmetric.variance_sixth == 1
    assert symmetric.variance_beta == Decimal(36) * 9 / 252
    skewed = three_point(Decimal(8), Decimal(10), Decimal(24))
    assert skewed.variance_beta != skewed.variance_sixth


def test_a_certain_figure_has_no_spread():
    certain = three_point(Decimal(5), Decimal(5), Decimal(5))
    assert (certain.mean, certain.variance_beta, certain.variance_sixth) == (5, 0, 0)
    assert certain.quantile(0.9) == 5
    with pytest.raises(ValueError, match="no shape"):
        _ = certain.shape


@pytest.mark.parametrize("figures", [(2, 1, 3), (1, 4, 3), (3, 2, 1)])
def test_figures_out_of_order_are_refused(figures):
    with pytest.raises(ValueError, match="in order"):
        three_point(*map(Decimal, figures))


@pytest.mark.parametrize("share", [-0.1, 1.1])
def test_a_share_of_outcomes_lies_between_nothing_and_all(share):
    with pytest.raises(ValueError, match="between 0 and 1"):
        three_point(Decimal(1), Decimal(2), Decimal(3)).quantile(share)


@given(FIGURES, FIGURES, st.decimals("0.01", 100, places=2))
def test_the_chance_of_a_sum_is_that_of_the_normal_distribution(limit, mean, variance):
    expected = stats.norm.cdf(float(limit), float(mean), float(variance) ** 0.5)
    assert chance_within(limit, mean, variance) == pytest.approx(expected, abs=1e-9)


def test_a_sum_without_spread_is_within_or_not():
    assert chance_within(Decimal(5), Decimal(5), Decimal(0)) == 1
    assert chance_within(Decimal(4), Decimal(5), Decimal(0)) == 0


def test_a_variance_below_zero_is_refused():
    with pytest.raises(ValueError, match="below zero"):
        chance_within(Decimal(1), Decimal(1), Decimal(-1))


@pytest.mark.parametrize("asked", [(280, 320, 370), (90, 100, 180), (320, 320, 400)])
def test_an_estimate_from_tenths_has_those_tenths(asked):
    low, likely, high = map(Decimal, asked)
    found = from_tenths(low, likely, high)
    assert found.likely == likely
    assert found.quantile(0.1) == pytest.approx(float(low), abs=2)
    assert found.quantile(0.9) == pytest.approx(float(high), abs=0.1)
    assert found.low < low
    assert found.high > high


def test_an_estimate_from_tenths_never_goes_below_nothing():
    assert from_tenths(Decimal(10), Decimal(50), Decimal(400)).low == 0


def test_what_is_certain_stays_certain():
    assert from_tenths(Decimal(5), Decimal(5), Decimal(5)).certain


def test_tenths_out_of_order_are_refused():
    with pytest.raises(ValueError, match="in order"):
        from_tenths(Decimal(6), Decimal(5), Decimal(9))
