"""Published three-point estimates: means, variances, quantiles, and a whole network."""

from decimal import Decimal
from math import sqrt

import networkx as nx
import pytest

from quotes.core.ranges import chance_within, three_point

# low, likely, high, mean, standard deviation by the sixth, source
ESTIMATES = [
    (8, 10, 24, "12", "2.667", "scribd.com 734349448: mean 12, variance 7.111"),
    (4, 8, 24, "10", "3.333", "pmlearning.org, Three-point estimating: 10 days"),
    (5, 8, 14, "8.5", "1.5", "schematex.js.org, PERT example: task Build 8.5, σ 1.5"),
    (0, 3, 6, "3", "1", "Malcolm et al. 1959: (a + 4m + b)/6 and (b − a)/6"),
]


@pytest.mark.parametrize(("low", "likely", "high", "mean", "deviation", "source"), ESTIMATES)
def test_mean_and_deviation_are_the_published_ones(low, likely, high, mean, deviation, source):
    estimate = three_point(Decimal(low), Decimal(likely), Decimal(high))
    assert estimate.mean == Decimal(mean), source
    assert sqrt(estimate.variance_sixth) == pytest.approx(float(deviation), abs=0.0005), source


def test_the_unit_range_has_the_published_variance():
    # San José State University, PERT beta distributions: (1/6)² is 1/36 for a range of one
    estimate = three_point(Decimal(0), Decimal("0.3"), Decimal(1))
    assert abs(estimate.variance_sixth - Decimal(1) / 36) < Decimal("1e-20")


@pytest.mark.parametrize(("low", "likely", "high"), [(8, 10, 24), (4, 8, 24), (1, 10, 17)])
def test_the_shape_is_that_of_a_simulation_package(low, likely, high):
    # R package mc2d, page pert: shape1 = (μ − min)(2·mode − min − max)/((mode − μ)(max − min)),
    # shape2 = shape1·(max − μ)/(μ − min)
    mean = (low + 4 * likely + high) / 6
    first = (mean - low) * (2 * likely - low - high) / ((likely - mean) * (high - low))
    second = first * (high - mean) / (mean - low)
    alpha, beta = three_point(Decimal(low), Decimal(likely), Decimal(high)).shape
    assert (float(alpha), float(beta)) == pytest.approx((first, second))


# share, quantile: computed with scipy.stats.beta(1.5, 4.5) on the row of scribd.com 734349448
@pytest.mark.parametrize(("share", "figure"), [(0.1, 8.957), (0.5, 11.538), (0.9, 15.742)])
def test_quantiles_of_the_published_estimate(share, figure):
    estimate = three_point(Decimal(8), Decimal(10), Decimal(24))
    assert estimate.quantile(share) == pytest.approx(figure, abs=0.0005)


def test_the_betas_own_variance_is_not_the_rule_of_thumb():
    # the same row: (b − a)²·αβ/252 is 6.857, the rule of thumb says 7.111
    estimate = three_point(Decimal(8), Decimal(10), Decimal(24))
    assert round(estimate.variance_beta, 3) == Decimal("6.857")
    assert round(estimate.variance_sixth, 3) == Decimal("7.111")


# Activities, low, likely, high and what comes before: wizedu.com 717873
NETWORK = {
    "A": ((5, 5, 7), ""),
    "B": ((1, 2, 5), ""),
    "C": ((5, 5, 5), "A"),
    "D": ((4, 8, 13), "A"),
    "E": ((1, 10, 17), "BC"),
    "F": ((1, 5, 7), "D"),
    "G": ((2, 6, 9), "D"),
    "H": ((4, 4, 6), "EF"),
    "I": ((2, 7, 10), "GH"),
    "J": ((2, 4, 7), "I"),
    "K": ((6, 10, 13), "I"),
    "L": ((2, 6, 6), "J"),
    "M": ((2, 2, 3), "K"),
    "N": ((7, 7, 12), "LM"),
}


def test_a_network_of_estimates_is_done_in_55_days_as_likely_as_published():
    # wizedu.com 717873: path A-C-E-H-I-K-M-N, 50.833 days, and the chance of 55 days
    work = {name: three_point(*map(Decimal, row)) for name, (row, _) in NETWORK.items()}
    graph = nx.DiGraph()
    for name, (_, before) in NETWORK.items():
        graph.add_edge("start" if not before else "", name, weight=float(work[name].mean))
        for each in before:
            graph.add_edge(each, name, weight=float(work[name].mean))
    path = [name for name in nx.dag_longest_path(graph) if name in work]
    mean = sum(work[name].mean for name in path)
    variance = sum(work[name].variance_sixth for name in path)
    assert "".join(path) == "ACEHIKMN"
    assert round(mean, 3) == Decimal("50.833")
    assert round(variance, 4) == Decimal("11.1944")
    assert chance_within(Decimal(55), mean, variance) == pytest.approx(0.8935, abs=0.00005)
