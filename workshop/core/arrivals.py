"""When goods on order come, by how late their supplier's last orders were."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil

from workshop.core.spread import MOST_SHARE

LEAST_ORDERS = 5  # common practice, no source: fewer tell too little of a supplier
ROUNDING = 1e-9


@dataclass(frozen=True, slots=True)
class Arrival:
    """How late goods come, in working days after the day told.

    By ``usual`` days they are there in the fraction ``chance`` of the orders that tell, by
    ``most`` days in all of them; ``late`` of the ``orders`` in the supplier's record came late.
    """

    usual: int
    most: int
    chance: float
    late: int
    orders: int


IN_TIME = Arrival(0, 0, 1.0, 0, 0)
"""What is taken where nothing tells of anything else."""


def arrival_of(late: Sequence[int], share: float, *, overdue: int = 0) -> Arrival:
    """Return how late goods come, from how many working days the supplier's orders came late.

    ``usual`` is the fewest days that leave enough to the work: chance × the greatest share that
    work can be reckoned with (0.9) is the ``share`` asked for or more. Of goods that are
    ``overdue`` by so many working days only the orders tell that were no earlier.

    In time where the record is too short, or nothing in it was ever so late.
    """
    telling = sorted(each for each in late if each >= overdue)
    if len(late) < LEAST_ORDERS or not telling:
        return IN_TIME
    needed = max(ceil(len(telling) * share / MOST_SHARE - ROUNDING), 1)
    usual = telling[needed - 1]
    chance = bisect_right(telling, usual) / len(telling)
    return Arrival(usual, telling[-1], chance, sum(each > 0 for each in late), len(late))
