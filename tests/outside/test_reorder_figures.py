"""Reorder points against published figures and against scipy.

Sources:
- Taylor: B. W. Taylor, Introduction to Management Science, inventory with reorder points: demand
  30 a day, standard deviation 5, lead time 10 days, service level 95 %. Inputs as found in a
  restatement; printed there with z = 1.65 from a table: safety stock 26.09, reorder point 326.09.
  With z exact (1.644854) the safety stock is 26.01.
- scipy.stats: norm.ppf for z, nbinom and poisson for pieces that are counted.
"""

import math
from itertools import product

import pytest
from scipy import stats

from inventory.core.reorder import Law, LeadTime, Usage, reorder_point, z_of

TAYLOR = Usage(30, 5)
TEN_DAYS = LeadTime(10)
LEVELS = (0.5, 0.8, 0.9, 0.95, 0.975, 0.99, 0.999)


def test_taylor_with_the_exact_quantile():
    point = reorder_point(TAYLOR, TEN_DAYS, 0.95)
    assert round(point.z, 6) == 1.644854
    assert round(point.safety, 2) == 26.01
    assert round(point.level, 2) == 326.01
    assert point.law is Law.NORMAL


def test_taylor_as_printed_with_the_quantile_of_a_table():
    assert round(1.65 * 5 * math.sqrt(10), 2) == 26.09
    level = stats.norm.cdf(1.65)  # the service level of which the table's z is exact
    point = reorder_point(TAYLOR, TEN_DAYS, float(level))
    assert round(point.safety, 2) == 26.09
    assert round(point.level, 2) == 326.09


def test_95_per_cent_is_not_the_quantile_of_90_nor_the_level_itself():
    """Two mistakes that published answers make."""
    safety = reorder_point(TAYLOR, TEN_DAYS, 0.95).safety
    assert safety > 1.28 * 5 * math.sqrt(10) + 5
    assert safety > 0.95 * 5 * math.sqrt(10) + 10


@pytest.mark.parametrize("level", LEVELS)
def test_the_quantile_is_scipys(level):
    assert z_of(level) == pytest.approx(stats.norm.ppf(level), abs=1e-12)


@pytest.mark.parametrize(
    ("level", "sd", "lead_sd"), list(product((0.9, 0.95, 0.99), (1, 5, 9), (0, 1, 2.5)))
)
def test_the_formula_is_scipys_quantile_of_lead_time_usage(level, sd, lead_sd):
    spread = math.sqrt(10 * sd**2 + 30**2 * lead_sd**2)
    point = reorder_point(Usage(30, sd), LeadTime(10, lead_sd), level)
    assert point.level == pytest.approx(stats.norm.ppf(level, loc=300, scale=spread), abs=1e-9)
    assert point.order_below > point.level
    assert point.reaches == pytest.approx(
        stats.norm.cdf(point.order_below - 0.5, loc=300, scale=spread), abs=1e-9
    )


@pytest.mark.parametrize("level", LEVELS)
@pytest.mark.parametrize("mean", [0.05, 0.4, 1.5])
@pytest.mark.parametrize("dispersion", [1.0, 1.7, 4.0])
def test_counted_pieces_are_scipys_quantile(level, mean, dispersion):
    days = 3
    usage = Usage(mean, math.sqrt(mean * dispersion))
    point = reorder_point(usage, LeadTime(days), level)
    if dispersion == 1:
        law = stats.poisson(mean * days)
    else:
        law = stats.nbinom(mean * days / (dispersion - 1), 1 / dispersion)
    assert point.law is Law.COUNTED
    assert point.level == law.ppf(level)
    assert point.reaches == pytest.approx(law.cdf(point.level), abs=1e-9)
