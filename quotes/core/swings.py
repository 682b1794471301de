"""What moves the profit: each fact from its low to its high, the others at their mean."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from quotes.core.margin import Scheme
from quotes.core.risk import Venture


class Fact(StrEnum):
    """What kind of fact moves the profit."""

    RESALE = "resale"
    JOB = "job"
    HIDDEN = "hidden"
    LIFE = "life"


@dataclass(frozen=True, slots=True)
class Bar:
    """A fact at its low and at its high, and the profit that each leads to, the rest at its mean.

    Figures of ``RESALE`` are gross prices, of ``JOB`` costs, net; ``HIDDEN`` goes from nothing,
    where the fault is not there, to its likely cost, net; ``LIFE`` is the factor.
    """

    fact: Fact
    name: str
    at_low: float
    at_high: float
    low: float
    high: float

    @property
    def swing(self) -> float:
        """Return how far the profit moves."""
        return abs(self.high - self.low)


def tornado(venture: Venture) -> tuple[Bar, ...]:
    """Return what each fact does to the profit, the one that moves it most first."""
    bars = [_bar(*each, venture) for each in _facts(venture)]
    return tuple(sorted(bars, key=lambda bar: -bar.swing))


def mean_profit(venture: Venture) -> float:
    """Return the profit where every fact is at its mean."""
    return _profit(venture, float(venture.resale.mean), _mean_cost(venture))


Ends = tuple[float, float]


def _facts(venture: Venture) -> Iterator[tuple[Fact, str, Ends, Ends, Ends]]:
    """Yield each fact with its ends, and the resale price and the cost that they lead to."""
    resale, cost = float(venture.resale.mean), _mean_cost(venture)
    ends = float(venture.resale.low), float(venture.resale.high)
    yield Fact.RESALE, "", ends, ends, (cost, cost)
    for name, job in venture.jobs:
        low, high, mean = float(job.low), float(job.high), float(job.mean)
        yield Fact.JOB, name, (low, high), (resale, resale), (cost - mean + low, cost - mean + high)
    for each in venture.hidden:
        there = float(each.cost.likely)
        without = cost - each.probability * float(each.cost.mean)
        yield Fact.HIDDEN, each.name, (0.0, there), (resale, resale), (without, without + there)
    life = float(venture.life.mildest), float(venture.life.hardest)
    yield Fact.LIFE, "", life, (resale, resale), (life[0] * cost, life[1] * cost)


def _bar(fact: Fact, name: str, at: Ends, resale: Ends, cost: Ends, venture: Venture) -> Bar:
    low, high = (_profit(venture, *ends) for ends in zip(resale, cost, strict=True))
    return Bar(fact, name, at[0], at[1], low, high)


def _mean_cost(venture: Venture) -> float:
    """Return the mean cost: the factor's mean is 1."""
    planned = float(sum(job.mean for _, job in venture.jobs))
    return planned + sum(each.probability * float(each.cost.mean) for each in venture.hidden)


def _profit(venture: Venture, resale: float, cost: float) -> float:
    """Return the profit at one resale price and cost; VAT as in ``quotes.core.risk``."""
    price, rate = float(venture.price), float(venture.vat_rate)
    taxed = {
        Scheme.MARGIN: max(resale - price, 0.0),
        Scheme.ORDINARY: resale,
        Scheme.NONE: 0.0,
    }[venture.scheme]
    fees = float(venture.fee_share) * resale + float(venture.fee_net)
    return resale - price - taxed * rate / (1 + rate) - fees - cost
