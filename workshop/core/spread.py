"""How much longer work takes than its standard time, and how far that varies from card to card."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import comb, sqrt
from statistics import NormalDist, fmean, median, stdev

LEAST_SHARE, MOST_SHARE = 0.5, 0.9
"""Beyond nine in ten the long tail of slow bikes is longer than the normal distribution's."""
LEAST_CARDS = 20  # common practice, no source: fewer tell too little of the spread
USUAL_MEAN = 1.15  # common practice, no source
USUAL_SD = 0.35  # common practice, no source
LEAST_CASES = 5
"""With five cases the least and the greatest hold the median in 15 of 16 times (1 − 2 / 2⁵)."""
MOST_OFTEN_WRONG = 10
"""What holds the median is wrong in at most one case of so many."""
NOTICEABLE = 0.1  # common practice, no source: a tenth is worth a new standard time


@dataclass(frozen=True, slots=True)
class Spread:
    """Actual minutes over standard minutes of a whole card: mean, standard deviation, of how many.

    ``cards`` is 0 where it is the usual one. The faults of one bike go together, a seized bike
    is slow in every task, so that a card and not a task is the case that is counted.
    """

    mean: float
    sd: float
    cards: int = 0

    @property
    def is_own(self) -> bool:
        """Tell whether it was measured in the shop."""
        return self.cards > 0

    def expected(self, standard: float) -> float:
        """Return the minutes that work of so many standard minutes takes on average."""
        return self.mean * standard

    def counted(self, standard: float, share: float) -> float:
        """Return the minutes within which a card's work is done in the given share of cases."""
        return self.expected(standard) + self.reserve([standard], share)

    def reserve(self, standards: Sequence[float], share: float) -> float:
        """Return the minutes beyond the average that hold several cards in a share of cases.

        Cards vary independently of each other, so that their reserves add up as squares do; the
        share is taken off the normal distribution.

        Raises:
            ValueError: the share is not from 0.5 to 0.9.
        """
        return self.reserve_of(sum(each * each for each in standards), share)

    def reserve_of(self, squares: float, share: float) -> float:
        """Return the same from the sum of the squares of the cards' standard minutes."""
        if not LEAST_SHARE <= share <= MOST_SHARE:
            raise ValueError(f"A promise is made for a share of {LEAST_SHARE} to {MOST_SHARE}.")
        return max(NormalDist().inv_cdf(share), 0) * self.sd * sqrt(squares)


USUAL = Spread(USUAL_MEAN, USUAL_SD)


def spread_of(ratios: Sequence[float]) -> Spread:
    """Return the spread measured from done cards: actual over standard minutes of each.

    Below 20 cards it is the usual one. The measured deviation is widened by the uncertainty of
    the mean itself (the variance of a prediction: s² (1 + 1/n)).
    """
    count = len(ratios)
    if count < LEAST_CARDS:
        return USUAL
    return Spread(fmean(ratios), stdev(ratios) * sqrt(1 + 1 / count), count)


@dataclass(frozen=True, slots=True)
class Learned:
    """What done tasks tell of an operation: the standard time, actual minutes, their middle.

    ``low`` and ``high`` hold the true median with at least 90 % certainty, whatever the
    distribution (order statistics of the binomial); both are None below five cases.
    """

    standard: float
    cases: int
    median: float
    low: float | None = None
    high: float | None = None

    @property
    def suggested(self) -> int | None:
        """Return another standard time to think of, in whole minutes; None where none is due.

        It is due where the standard time lies outside of what holds the median, and by more than
        a tenth beside the median itself.
        """
        if self.low is None or self.high is None or self.low <= self.standard <= self.high:
            return None
        whole = max(round(self.median), 1)
        far = abs(self.median - self.standard) > NOTICEABLE * self.standard
        return whole if far and whole != self.standard else None


def learned_from(standard: float, actual: Sequence[float]) -> Learned:
    """Return what the actual minutes of an operation's cases tell beside its standard time.

    Raises:
        ValueError: there is no case.
    """
    if not actual:
        raise ValueError("Without a case there is nothing to learn.")
    found = sorted(actual)
    low = high = None
    if len(found) >= LEAST_CASES:
        cut = _cut(len(found))
        low, high = found[cut], found[-1 - cut]
    return Learned(standard, len(found), median(found), low, high)


def _cut(count: int) -> int:
    """Return how many cases to leave out at either end so that the rest holds the median.

    With k left out, the median lies outside with the probability 2 · P(B ≤ k), B binomial with
    ``count`` and one half.
    """
    below, cut = 0, 0
    for left_out in range(count // 2):
        below += comb(count, left_out)
        if 2 * below * MOST_OFTEN_WRONG > 2**count:
            break
        cut = left_out
    return cut
