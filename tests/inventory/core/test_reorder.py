"""Reorder points: the service level that they state is the one that a simulated shop reaches."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.core.reorder import (
    LeadTime,
    Usage,
    reorder_point,
    usage_of,
    z_of,
)

DAYS = 600_000
SEED = 20261125


def demand(kind, rng):
    """Draw usage day by day, as parts of a workshop are used."""
    return {
        "steady": lambda: rng.normal(30, 5, DAYS),
        "now and then": lambda: rng.poisson(0.2, DAYS),
        "daily": lambda: rng.poisson(2, DAYS),
        "in pairs": lambda: rng.binomial(1, 0.3, DAYS) * rng.integers(1, 3, DAYS),
        "by fits and starts": lambda: rng.negative_binomial(1, 0.4, DAYS),
        "a boxful at a time": lambda: rng.binomial(1, 0.15, DAYS) * rng.integers(1, 5, DAYS),
    }[kind]()


def reached(used, leads, below, batch):
    """Return in which share of orders nothing ran out before the goods came.

    Somebody looks every evening; what is short is ordered once and comes ``leads`` days later, in
    the morning. What runs out is owed.
    """
    there, due, orders, good = float(batch), -1, 0, 0
    for day, quantity in enumerate(used):
        if due == day:
            orders, good, there, due = orders + 1, good + (there >= 0), there + batch, -1
        there -= quantity
        if due < 0 and there < below:
            due = day + 1 + leads[orders]
    return good / orders


def simulated(kind, lead_days, lead_sd, level):
    """Return the reorder point of some usage, and the service level that it reaches."""
    rng = np.random.default_rng(SEED)
    used = demand(kind, rng)
    leads = np.maximum(0, np.rint(rng.normal(lead_days, lead_sd, DAYS))).astype(int)
    usage = Usage(float(used.mean()), float(used.std(ddof=1)))
    point = reorder_point(
        usage, LeadTime(float(leads.mean()), float(leads.std())), level, look_every=1
    )
    batch = point.order_below + max(20.0, 1.5 * usage.mean * (lead_days + 3 * lead_sd + 5))
    return point, reached(used.tolist(), leads.tolist(), point.order_below, batch)


@pytest.mark.parametrize("level", [0.8, 0.9, 0.95, 0.98])
@pytest.mark.parametrize(("days", "sd"), [(3, 0), (7, 0), (10, 2), (14, 5)])
@pytest.mark.parametrize(
    "kind", ["steady", "now and then", "daily", "in pairs", "by fits and starts"]
)
def test_a_simulated_shop_reaches_the_stated_level_within_two_points(kind, days, sd, level):
    point, service = simulated(kind, days, sd, level)
    assert service == pytest.approx(point.reaches, abs=0.02)
    assert service > level - 0.02


@pytest.mark.parametrize("level", [0.9, 0.95, 0.98])
@pytest.mark.parametrize(("days", "sd"), [(3, 0), (7, 0), (10, 2)])
def test_lumps_that_no_simple_law_fits_are_served_rather_better(days, sd, level):
    point, service = simulated("a boxful at a time", days, sd, level)
    assert point.reaches - 0.02 < service < point.reaches + 0.03


def test_without_the_days_between_looks_the_textbooks_point_would_serve_too_few():
    rng = np.random.default_rng(SEED)
    used = demand("steady", rng)
    leads = [10] * DAYS
    point = reorder_point(Usage(30, 5), LeadTime(10), 0.95)
    assert reached(used.tolist(), leads, point.order_below, 900) < 0.85


@given(
    mean=st.just(0.0) | st.floats(0.001, 50),
    sd=st.floats(0, 20),
    days=st.floats(0, 40),
    lead_sd=st.floats(0, 5),
    level=st.floats(0.5, 0.999),
    every=st.integers(0, 14),
)
def test_more_certainty_never_asks_for_fewer(mean, sd, days, lead_sd, level, every):
    usage, lead = Usage(mean, sd), LeadTime(days, lead_sd)
    point = reorder_point(usage, lead, level, look_every=every)
    surer = reorder_point(usage, lead, (level + 1) / 2, look_every=every)
    assert surer.order_below >= point.order_below >= 1
    assert point.order_below > point.level - 1e-9
    assert point.reaches >= level - 1e-9
    assert 0 <= point.reaches <= 1


def test_what_is_never_used_is_ordered_when_there_is_none():
    point = reorder_point(Usage(0, 0), LeadTime(5), 0.95, look_every=1)
    assert (point.order_below, point.reaches) == (1, 1)


@pytest.mark.parametrize("level", [0, 1, -0.1, 1.5])
def test_a_level_that_is_none_is_refused(level):
    with pytest.raises(ValueError, match="between 0 and 1"):
        z_of(level)


@pytest.mark.parametrize("wrong", [{"mean": -1}, {"sd": -1}, {"days": -1}, {"lead_sd": -1}])
def test_figures_below_zero_are_refused(wrong):
    told = {"mean": 1, "sd": 1, "days": 1, "lead_sd": 1} | wrong
    with pytest.raises(ValueError, match="never below zero"):
        reorder_point(Usage(told["mean"], told["sd"]), LeadTime(told["days"], told["lead_sd"]), 0.9)


def test_usage_counts_days_without_any():
    usage = usage_of([0, 0, 3, 1])
    assert usage.mean == 1
    assert usage.sd == pytest.approx(2**0.5)
    with pytest.raises(ValueError, match="two days"):
        usage_of([1])
