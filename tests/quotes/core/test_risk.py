"""The range of cost and profit: draws against the closed form, the ceiling against the draws."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import numpy as np
import pytest
from scipy import stats

from quotes.core.margin import Scheme
from quotes.core.ranges import three_point
from quotes.core.risk import (
    Hidden,
    Life,
    Venture,
    ceiling_at,
    closed_form_cost,
    profit_at,
    simulate,
)


def points(low, likely, high):
    return three_point(Decimal(low), Decimal(likely), Decimal(high))


VENTURE = Venture(
    jobs=(
        ("hub", points(12, 15, 30)),
        ("bottom bracket", points(25, 30, 60)),
        ("bushes", points(28, 32, 55)),
    ),
    hidden=(
        Hidden("rust under the paint", 0.15, points(40, 80, 200)),
        Hidden("seized seat post", 0.25, points(10, 25, 90)),
    ),
    resale=points(320, 380, 430),
    price=Decimal(90),
    fee_share=Decimal("0.05"),
    fee_net=Decimal(4),
    target=Decimal(80),
    scheme=Scheme.MARGIN,
    vat_rate=Decimal("0.2"),
    currency="GBP",
)
SCHEMES = list(Scheme)


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_mean_and_variance_lie_within_three_standard_errors_of_the_closed_form(seed):
    cost = simulate(VENTURE, seed=seed).cost
    exact = closed_form_cost(VENTURE.jobs, VENTURE.hidden, VENTURE.life)
    error_of_mean = np.sqrt(exact.variance / len(cost))
    fourth = np.mean((cost - cost.mean()) ** 4)
    error_of_variance = np.sqrt((fourth - exact.variance**2) / len(cost))
    assert abs(cost.mean() - exact.mean) < 3 * error_of_mean
    assert abs(cost.var() - exact.variance) < 3 * error_of_variance


def test_without_hidden_faults_and_with_an_ordinary_life_the_variance_is_the_plain_sum():
    steady = Life(Decimal(1), Decimal(1))
    exact = closed_form_cost(VENTURE.jobs, (), steady)
    assert exact.mean == pytest.approx(sum(float(job.mean) for _, job in VENTURE.jobs))
    assert exact.variance == pytest.approx(sum(float(job.variance_beta) for _, job in VENTURE.jobs))


def test_a_shared_life_makes_bad_luck_come_together():
    shared = closed_form_cost(VENTURE.jobs, (), Life())
    steady = closed_form_cost(VENTURE.jobs, (), Life(Decimal(1), Decimal(1)))
    assert shared.mean == pytest.approx(steady.mean)
    assert shared.variance > steady.variance


def test_one_job_is_drawn_from_the_beta_of_scipy():
    job = VENTURE.jobs[0][1]
    alone = replace(VENTURE, jobs=(("hub", job),), hidden=(), life=Life(Decimal(1), Decimal(1)))
    alpha, tail = job.shape
    beta = stats.beta(float(alpha), float(tail), loc=12, scale=18)
    assert stats.kstest(simulate(alone).cost, beta.cdf).pvalue > 0.001
    for share, drawn in zip((0.1, 0.5, 0.9), simulate(alone).cost_tenths, strict=True):
        assert drawn == pytest.approx(beta.ppf(share), abs=0.15)


@pytest.mark.parametrize("scheme", SCHEMES)
@pytest.mark.parametrize("confidence", [0.5, 0.8, 0.95])
def test_the_ceiling_put_back_in_is_met_by_that_share_of_the_draws(scheme, confidence):
    venture = replace(VENTURE, scheme=scheme)
    outlook = simulate(venture)
    ceiling = ceiling_at(outlook, confidence, "GBP")
    assert ceiling is not None

    def share_at(price):
        profit = profit_at(float(price), outlook.resale, outlook.cost, venture)
        return np.mean(profit >= float(venture.target) - 1e-9)

    assert share_at(ceiling) >= confidence
    assert share_at(ceiling + Decimal("0.01")) <= confidence + 0.001


def test_a_bike_that_cannot_earn_the_target_even_as_a_gift_has_no_ceiling():
    poor = replace(VENTURE, resale=points(60, 80, 90))
    assert ceiling_at(simulate(poor), 0.8, "GBP") is None


def test_the_same_seed_gives_the_same_draws():
    assert np.array_equal(simulate(VENTURE).profit, simulate(VENTURE).profit)
    assert not np.array_equal(simulate(VENTURE).profit, simulate(VENTURE, seed=5).profit)


def test_a_dearer_bike_reaches_the_target_less_often():
    cheap, dear = simulate(VENTURE), simulate(replace(VENTURE, price=Decimal(200)))
    assert cheap.reaches_target > dear.reaches_target
    assert cheap.loses_money < dear.loses_money


def test_an_impossible_probability_is_refused_with_its_name():
    bad = replace(VENTURE, hidden=(Hidden("rust", 0.9, points(1, 2, 3)),))
    with pytest.raises(ValueError, match="rust: a probability"):
        simulate(bad)


def test_a_life_that_cannot_have_a_mean_of_one_is_refused():
    with pytest.raises(ValueError, match="cannot mean 1"):
        Life(Decimal("1.2"), Decimal("1.5")).range()
