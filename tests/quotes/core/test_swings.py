"""What moves the profit: each bar is the profit at one end of a fact, the rest at its mean."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import numpy as np
import pytest

from quotes.core.margin import Scheme
from quotes.core.ranges import three_point
from quotes.core.risk import Hidden, Life, Venture, profit_at, simulate
from quotes.core.swings import Fact, mean_profit, tornado


def points(low, likely, high):
    return three_point(Decimal(low), Decimal(likely), Decimal(high))


VENTURE = Venture(
    jobs=(("hub", points(12, 15, 30)), ("bell", points(4, 4, 4))),
    hidden=(Hidden("rust", 0.2, points(40, 80, 120)),),
    resale=points(320, 380, 430),
    price=Decimal(90),
    fee_share=Decimal("0.05"),
    fee_net=Decimal(4),
    target=Decimal(80),
    scheme=Scheme.MARGIN,
    vat_rate=Decimal("0.2"),
    currency="GBP",
)


def bar_of(fact, venture=VENTURE, name=""):
    return next(bar for bar in tornado(venture) if bar.fact == fact and bar.name == name)


def at(resale, cost, venture=VENTURE):
    """The profit by the simulation's own arithmetic."""
    return float(profit_at(float(venture.price), np.array([resale]), np.array([cost]), venture)[0])


MEAN_COST = (12 + 60 + 30) / 6 + 4 + 0.2 * 80


def test_the_one_that_moves_most_comes_first():
    swings = [bar.swing for bar in tornado(VENTURE)]
    assert swings == sorted(swings, reverse=True)
    assert tornado(VENTURE)[0].fact is Fact.RESALE


def test_every_fact_has_its_bar():
    facts = {(bar.fact, bar.name) for bar in tornado(VENTURE)}
    assert facts == {
        (Fact.RESALE, ""),
        (Fact.JOB, "hub"),
        (Fact.JOB, "bell"),
        (Fact.HIDDEN, "rust"),
        (Fact.LIFE, ""),
    }


@pytest.mark.parametrize("scheme", list(Scheme))
def test_resale_goes_from_its_low_to_its_high(scheme):
    venture = replace(VENTURE, scheme=scheme)
    bar = bar_of(Fact.RESALE, venture)
    assert (bar.at_low, bar.at_high) == (320, 430)
    assert bar.low == pytest.approx(at(320, MEAN_COST, venture))
    assert bar.high == pytest.approx(at(430, MEAN_COST, venture))


def test_a_job_leaves_the_others_at_their_mean():
    bar = bar_of(Fact.JOB, name="hub")
    mean = float(VENTURE.resale.mean)
    assert bar.low == pytest.approx(at(mean, MEAN_COST - 17 + 12))
    assert bar.high == pytest.approx(at(mean, MEAN_COST - 17 + 30))


def test_a_certain_job_moves_nothing():
    assert bar_of(Fact.JOB, name="bell").swing == 0


def test_a_hidden_fault_is_not_there_or_there_at_its_likely_cost():
    bar, mean = bar_of(Fact.HIDDEN, name="rust"), float(VENTURE.resale.mean)
    assert (bar.at_low, bar.at_high) == (0, 80)
    assert bar.low == pytest.approx(at(mean, MEAN_COST - 16))
    assert bar.high == pytest.approx(at(mean, MEAN_COST - 16 + 80))


def test_a_hard_life_scales_all_of_the_cost():
    venture = replace(VENTURE, life=Life(Decimal("0.5"), Decimal("1.5")))
    bar, mean = bar_of(Fact.LIFE, venture), float(VENTURE.resale.mean)
    assert bar.low == pytest.approx(at(mean, 0.5 * MEAN_COST))
    assert bar.high == pytest.approx(at(mean, 1.5 * MEAN_COST))


def test_the_mean_profit_is_that_of_the_draws():
    drawn = simulate(VENTURE).profit
    assert abs(mean_profit(VENTURE) - drawn.mean()) < 3 * drawn.std() / np.sqrt(len(drawn))


def test_below_the_price_paid_there_is_no_vat():
    dear = replace(VENTURE, price=Decimal(500))
    assert bar_of(Fact.RESALE, dear).low == pytest.approx(at(320, MEAN_COST, dear))
