"""Cost and profit as a range: simulation with a kept seed, and the closed form beside it.

The cost of a bike is ``H · ΣXᵢ + ΣBⱼ·Yⱼ``: planned jobs ``Xᵢ`` and hidden faults' costs ``Yⱼ``
are PERT-beta, ``H`` says how hard a life the bike has had (PERT-beta with mean 1), and a hidden
fault is there (``Bⱼ``) with probability ``pⱼ·H``. ``H`` is shared, so bad luck comes together.
Given ``H`` everything is independent, which gives mean and variance in closed form.

These are statistics in floating point, not money on paper; prices are rounded where they leave.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_FLOOR, Decimal
from functools import lru_cache
from typing import TYPE_CHECKING

from inventory.core.money import minor_unit
from quotes.core.margin import Scheme
from quotes.core.ranges import ThreePoint, three_point

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Draws = NDArray[np.float64]

DRAWS = 20_000
SEED = 20_118
KEPT = 32
"""Draws are kept for so many sets of figures. They hang on nothing else, so none goes stale."""


@dataclass(frozen=True, slots=True)
class Hidden:
    """A fault that may come to light: its probability, and its cost if it does, net."""

    name: str
    probability: float
    cost: ThreePoint


@dataclass(frozen=True, slots=True)
class Life:
    """How hard a life: the factor at its mildest and at its hardest; its mean is 1."""

    mildest: Decimal = Decimal("0.6")
    hardest: Decimal = Decimal("1.6")

    def range(self) -> ThreePoint:
        """Return the factor's range, its likely value chosen so that the mean is 1.

        Raises:
            ValueError: no such likely value lies between the two ends.
        """
        likely = (6 - self.mildest - self.hardest) / 4
        if not self.mildest <= likely <= self.hardest:
            raise ValueError(f"A factor from {self.mildest} to {self.hardest} cannot mean 1.")
        return three_point(self.mildest, likely, self.hardest)


@dataclass(frozen=True, slots=True)
class Venture:
    """A bike that may be bought: cost by job, what may hide, resale, fees, VAT, target.

    ``resale`` and ``price`` are gross; costs, fixed fees and target are net. Shares are
    fractions of the resale price: ``fee_share`` covers selling fees and the warranty reserve.
    """

    jobs: Sequence[tuple[str, ThreePoint]]
    hidden: Sequence[Hidden]
    resale: ThreePoint
    price: Decimal
    fee_share: Decimal
    fee_net: Decimal
    target: Decimal
    scheme: Scheme
    vat_rate: Decimal
    currency: str
    life: Life = Life()


@dataclass(frozen=True, slots=True)
class Moments:
    """A mean and a variance."""

    mean: float
    variance: float


@dataclass(frozen=True, slots=True)
class Outlook:
    """The draws of a venture and what they say. Tenths are the 10 %, 50 % and 90 % points."""

    cost: Draws
    resale: Draws
    profit: Draws
    highest_price: Draws
    cost_tenths: tuple[float, float, float]
    profit_tenths: tuple[float, float, float]
    reaches_target: float
    loses_money: float


def closed_form_cost(
    jobs: Sequence[tuple[str, ThreePoint]], hidden: Sequence[Hidden], life: Life
) -> Moments:
    """Return mean and variance of the cost, by conditioning on the shared factor."""
    factor = life.range()
    planned = float(sum(job.mean for _, job in jobs))
    expected = planned + sum(each.probability * float(each.cost.mean) for each in hidden)
    square = float(factor.variance_beta) + 1.0
    inner = square * sum(float(job.variance_beta) for _, job in jobs)
    for each in hidden:
        mean, variance = float(each.cost.mean), float(each.cost.variance_beta)
        inner += each.probability * (variance + mean**2) - square * (each.probability * mean) ** 2
    return Moments(expected, inner + float(factor.variance_beta) * expected**2)


def simulate(venture: Venture, draws: int = DRAWS, seed: int = SEED) -> Outlook:
    """Draw the venture's cost, resale price and profit.

    Raises:
        ValueError: a hidden fault would be there with a probability above 1 on a bike that has
            had the hardest life.
    """
    import numpy as np

    _check(venture)
    cost = _drawn_cost(tuple(venture.jobs), tuple(venture.hidden), venture.life, draws, seed)
    resale = _drawn_resale(venture.resale, draws, seed)
    profit = profit_at(float(venture.price), resale, cost, venture)
    return Outlook(
        cost,
        resale,
        profit,
        _highest_price(resale, cost, venture),
        _tenths(cost),
        _tenths(profit),
        float(np.mean(profit >= float(venture.target))),
        float(np.mean(profit < 0)),
    )


def ceiling_at(outlook: Outlook, confidence: float, currency: str) -> Decimal | None:
    """Return the highest price at which a share ``confidence`` of the draws reaches the target.

    It is rounded down to the minor unit; None where not even a gift would do.
    """
    import numpy as np

    ranked = np.sort(outlook.highest_price)[::-1]
    place = int(np.ceil(confidence * len(ranked))) - 1
    price = Decimal(repr(float(ranked[max(place, 0)])))
    return price.quantize(minor_unit(currency), rounding=ROUND_FLOOR) if price >= 0 else None


def profit_at(price: float, resale: Draws, cost: Draws, venture: Venture) -> Draws:
    """Return the profit of each draw at a purchase price."""
    import numpy as np

    rate = float(venture.vat_rate)
    outlay = cost + float(venture.fee_share) * resale + float(venture.fee_net)
    base = {
        Scheme.MARGIN: np.maximum(resale - price, 0.0),
        Scheme.ORDINARY: resale,
        Scheme.NONE: np.zeros_like(resale),
    }[venture.scheme]
    return resale - price - base * rate / (1 + rate) - outlay


def _highest_price(resale: Draws, cost: Draws, venture: Venture) -> Draws:
    """Return the price at which each draw just reaches the target."""
    import numpy as np

    rate = float(venture.vat_rate)
    need = cost + float(venture.fee_share) * resale + float(venture.fee_net + venture.target)
    if venture.scheme is Scheme.MARGIN:
        return np.where(need >= 0, resale - (1 + rate) * need, resale - need)
    if venture.scheme is Scheme.ORDINARY:
        return resale / (1 + rate) - need
    return resale - need


def _check(venture: Venture) -> None:
    hardest = float(venture.life.hardest)
    for each in venture.hidden:
        if not 0 <= each.probability * hardest <= 1:
            raise ValueError(
                f"{each.name}: a probability of {each.probability} times {hardest} for the "
                "hardest life is not between 0 and 1. Lower one of them."
            )


@lru_cache(maxsize=KEPT)
def _drawn_cost(
    jobs: tuple[tuple[str, ThreePoint], ...],
    hidden: tuple[Hidden, ...],
    life: Life,
    draws: int,
    seed: int,
) -> Draws:
    """Draw the cost; the same work and risks give the same draws, whatever the price asked."""
    import numpy as np

    random = np.random.default_rng((seed, 0))
    hard = _pert(life.range(), random, draws)
    planned = np.zeros(draws)
    for _, job in jobs:
        planned += _pert(job, random, draws)
    cost = hard * planned
    for each in hidden:
        there = np.flatnonzero(random.random(draws) < each.probability * hard)
        cost[there] += _pert(each.cost, random, len(there))
    cost.flags.writeable = False
    return cost


@lru_cache(maxsize=KEPT)
def _drawn_resale(resale: ThreePoint, draws: int, seed: int) -> Draws:
    """Draw the resale price, by itself: it does not hang on the work."""
    import numpy as np

    drawn = _pert(resale, np.random.default_rng((seed, 1)), draws)
    drawn.flags.writeable = False
    return drawn


def _pert(point: ThreePoint, random: np.random.Generator, draws: int) -> Draws:
    import numpy as np

    if point.certain:
        return np.full(draws, float(point.low))
    alpha, beta = point.shape
    drawn = random.beta(float(alpha), float(beta), draws)
    return float(point.low) + float(point.high - point.low) * drawn


def _tenths(draws: Draws) -> tuple[float, float, float]:
    import numpy as np

    low, middle, high = np.quantile(draws, (0.1, 0.5, 0.9))
    return float(low), float(middle), float(high)
