"""Three-point estimates: low, likely and high give a mean, a spread and quantiles."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from math import sqrt


@dataclass(frozen=True, slots=True)
class ThreePoint:
    """A figure known by its low, likely and high, as money or minutes.

    As a distribution it is a beta between low and high with α = 1 + 4(m−a)/(b−a) and
    β = 1 + 4(b−m)/(b−a); its mean is (a + 4m + b)/6. Source: Malcolm, Roseboom, Clark and Fazar,
    "Application of a technique for research and development program evaluation" (PERT), 1959.
    """

    low: Decimal
    likely: Decimal
    high: Decimal

    def __post_init__(self) -> None:
        """Refuse figures out of order."""
        if not self.low <= self.likely <= self.high:
            raise ValueError(
                f"Low {self.low}, likely {self.likely}, high {self.high}: put them in order."
            )

    @property
    def certain(self) -> bool:
        """Tell whether low and high are the same."""
        return self.low == self.high

    @property
    def mean(self) -> Decimal:
        """Return (a + 4m + b)/6, not rounded."""
        return (self.low + 4 * self.likely + self.high) / 6

    @property
    def variance_sixth(self) -> Decimal:
        """Return the variance by the rule of thumb, ((b − a)/6)²; the beta's own is another."""
        return ((self.high - self.low) / 6) ** 2

    @property
    def shape(self) -> tuple[Decimal, Decimal]:
        """Return α and β. Raises ``ValueError`` for a figure that is certain."""
        if self.certain:
            raise ValueError("A figure that is certain has no shape.")
        width = self.high - self.low
        rise, fall = self.likely - self.low, self.high - self.likely
        return 1 + 4 * rise / width, 1 + 4 * fall / width

    @property
    def variance_beta(self) -> Decimal:
        """Return the beta's own variance, (b − a)²·αβ/252 since α + β = 6."""
        if self.certain:
            return Decimal(0)
        alpha, beta = self.shape
        return (self.high - self.low) ** 2 * alpha * beta / 252

    def quantile(self, share: float) -> float:
        """Return the figure that a share of outcomes (0 to 1) stays at or below.

        A float: it describes a spread, not an amount to be paid. Raises ``ValueError`` for a
        share outside 0 to 1.
        """
        if not 0 <= share <= 1:
            raise ValueError("A share of outcomes lies between 0 and 1.")
        if self.certain:
            return float(self.low)
        from scipy.special import betaincinv

        alpha, beta = self.shape
        inner = float(betaincinv(float(alpha), float(beta), round(share, 9)))
        low, high = float(self.low), float(self.high)
        return min(max(low, low + inner * (high - low)), high)


def three_point(low: Decimal, likely: Decimal, high: Decimal) -> ThreePoint:
    """Return the estimate. Raises ``ValueError`` for figures out of order."""
    return ThreePoint(low, likely, high)


def chance_within(limit: Decimal, mean: Decimal, variance: Decimal) -> float:
    """Return the chance that a sum of independent estimates stays at or below a limit.

    By the normal distribution, as PERT does for a path; a sum without spread is certain. Raises
    ``ValueError`` for a variance below zero.
    """
    if variance < 0:
        raise ValueError("A variance cannot be below zero.")
    if not variance:
        return 1.0 if mean <= limit else 0.0
    from statistics import NormalDist

    return NormalDist(float(mean), sqrt(variance)).cdf(float(limit))


ROUNDS = 60
NEAR = 0.005


def from_tenths(low: Decimal, likely: Decimal, high: Decimal) -> ThreePoint:
    """Return the estimate that is below ``low`` one time in ten, and as often above ``high``.

    Its own ends lie further out, to the hundredth, but never below zero. Raises ``ValueError``
    for figures out of order.
    """
    asked = ThreePoint(low, likely, high)
    if asked.certain:
        return asked
    ends = float(low), float(high)
    found = asked
    for _ in range(ROUNDS):
        under, over = found.quantile(0.1) - float(low), found.quantile(0.9) - float(high)
        if max(abs(under), abs(over)) < NEAR:
            break
        ends = max(ends[0] - under, 0.0), ends[1] - over
        found = ThreePoint(
            min(likely, _hundredths(ends[0])), likely, max(likely, _hundredths(ends[1]))
        )
    return found


def _hundredths(figure: float) -> Decimal:
    return Decimal(repr(figure)).quantize(Decimal("0.01"))
