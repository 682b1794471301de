"""When to order anew: the reorder point from usage, lead time and a stated service level.

The service level is the share of orders during whose lead time nothing runs out.

Sources:
- ROP = d·L + z·√(L·σd² + d²·σL²), usage and lead time independent of each other: B. W. Taylor,
  Introduction to Management Science, chapter on inventory; with a lead time that varies: E. Silver,
  D. Pyke, R. Peterson, Inventory Management and Production Planning and Scheduling, 1998, 7.10
  (the page from memory).
- Undershoot, by how much the level has passed the reorder point when somebody looks: the age of a
  renewal process in the long run, W. Feller, An Introduction to Probability Theory II, XI.4
  (from memory).
- Few pieces: the negative binomial distribution with the same mean and variance, Poisson's where
  the variance is no greater than the mean.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum
from statistics import NormalDist, fmean, stdev

SPREADS = 3
"""Where the mean is fewer spreads than this above zero, the bell curve would count on usage below
zero more often than once in a thousand: pieces are counted instead."""
LEAST_DAYS = 28
"""Days of usage from which a reorder point is proposed; common practice, no source."""
LEAST_ORDERS = 5
"""Orders from which a supplier's lead time is measured; common practice, no source."""
MOST_PIECES = 100_000
HALF_A_PIECE = 0.5
"""With the piece that makes it short one fewer than ``order_below`` are there, which last for$
bell curve has up to half a piece more. The undershoot between looks has it in its mean."""


@dataclass(frozen=True, slots=True)
class Usage:
    """How many are used a day: mean and standard deviation, in the part's unit."""

    mean: float
    sd: float


@dataclass(frozen=True, slots=True)
class LeadTime:
    """How long goods take, in calendar days: mean and standard deviation."""

    mean: float
    sd: float = 0.0


class Law(Enum):
    """How usage during the lead time is thought to spread."""

    NORMAL = "by the bell curve"
    COUNTED = "counted by the piece"


@dataclass(frozen=True, slots=True)
class ReorderPoint:
    """The level at which to order, in the part's unit.

    ``order_below`` is the whole number below which to order, ``reaches`` the service level that it
    gives, which rounding up makes higher than the one asked for. ``safety`` is what ``level`` holds
    beyond the mean usage of the lead time, ``z`` the standard normal quantile of the service level.
    """

    level: float
    safety: float
    z: float
    law: Law
    order_below: int
    reaches: float


def z_of(service_level: float) -> float:
    """Return the standard normal quantile, such as 1.644854 for 0.95.

    Raises ``ValueError`` for a level that is not above 0 and below 1.
    """
    if not 0 < service_level < 1:
        raise ValueError("A service level lies between 0 and 1.")
    return NormalDist().inv_cdf(service_level)


def usage_of(daily: Sequence[float]) -> Usage:
    """Return mean and sample standard deviation of usage by day, days without any among them.

    Raises ``ValueError`` for fewer than two days.
    """
    if len(daily) < 2:  # noqa: PLR2004 - one day has no spread
        raise ValueError("Usage wants two days at least.")
    return Usage(fmean(daily), stdev(daily))


def reorder_point(
    usage: Usage, lead: LeadTime, service_level: float, *, look_every: int = 0
) -> ReorderPoint:
    """Return the level at which to order so that the service level is reached.

    ``look_every`` is how many days lie between looks at what is short; 0 where it is noticed with
    the very piece that makes it short, as the textbook's formula has it.

    Raises ``ValueError`` for figures below zero or a level that is not above 0 and below 1.
    """
    if min(usage.mean, usage.sd, lead.mean, lead.sd, look_every) < 0:
        raise ValueError("Usage, lead time and days between looks are never below zero.")
    z = z_of(service_level)
    mean = usage.mean * lead.mean
    variance = lead.mean * usage.sd**2 + usage.mean**2 * lead.sd**2
    counted = _few(mean, variance) or _few(
        *_with_undershoot(mean, variance, usage, look_every, by_piece=False)
    )
    mean, variance = _with_undershoot(mean, variance, usage, look_every, by_piece=counted)
    if counted:
        return _counted(usage.mean * lead.mean, mean, variance, service_level, z)
    level = mean + z * math.sqrt(variance)
    half = 0.0 if look_every else HALF_A_PIECE
    below = max(math.ceil(level + half), 1)
    reaches = NormalDist(mean, math.sqrt(variance)).cdf(below - half) if variance else 1.0
    safety = level - usage.mean * lead.mean
    return ReorderPoint(level, safety, z, Law.NORMAL, below, reaches)


def _few(mean: float, variance: float) -> bool:
    """Tell whether the bell curve would reach well below zero."""
    return mean < SPREADS * math.sqrt(variance)


def _with_undershoot(
    mean: float, variance: float, usage: Usage, days: int, *, by_piece: bool
) -> tuple[float, float]:
    """Return mean and variance of what must last: the lead time's usage and the undershoot.

    The third moment between two looks is that of the distribution with the same mean and variance:
    the normal, or by the piece the negative binomial (Poisson's) distribution.
    """
    m, v = usage.mean * days, usage.sd**2 * days
    if not m:
        return mean, variance
    skewed = v * max(2 * v / m - 1, 1.0) if by_piece else 0.0
    second, third = v + m**2, m**3 + 3 * m * v + skewed
    if by_piece:  # of whole pieces: E X(X-1) / 2 E X, and E X(X-1)(2X-1) / 6 E X
        under = max((second - m) / (2 * m), 0.0)
        square = (2 * third - 3 * second + m) / (6 * m)
    else:
        under, square = second / (2 * m), third / (3 * m)
    return mean + under, variance + max(square - under**2, 0.0)


def _counted(
    expected: float, mean: float, variance: float, service_level: float, z: float
) -> ReorderPoint:
    """Return the fewest pieces that last with the service level."""
    reached = chance = math.exp(_log_none(mean, variance))
    pieces = 0
    while reached < service_level and pieces < MOST_PIECES:
        chance *= _ratio(pieces, mean, variance)
        pieces += 1
        reached += chance
    return ReorderPoint(pieces, pieces - expected, z, Law.COUNTED, pieces + 1, min(reached, 1.0))


def _log_none(mean: float, variance: float) -> float:
    """Return the logarithm of the chance that none is used."""
    if not mean:
        return 0.0
    if variance <= mean:
        return -mean
    return -(mean**2) / (variance - mean) * math.log(variance / mean)


def _ratio(pieces: int, mean: float, variance: float) -> float:
    """Return the chance of one piece more over the chance of so many."""
    if variance <= mean:
        return mean / (pieces + 1)
    size = mean**2 / (variance - mean)
    return (pieces + size) / (pieces + 1) * (1 - mean / variance)
