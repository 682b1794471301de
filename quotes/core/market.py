"""Facts to see beside a resale price: season, time on the shelf, asked against sold.

They are shown and change no price: there are seldom rows enough to say what a quarter is worth.
Each is a median, so that a wild price does not pass for a season.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median

QUARTERS = (1, 2, 3, 4)
MONTHS_A_QUARTER = 3


@dataclass(frozen=True, slots=True)
class Seen:
    """A price beside what its basis says: ``ratio`` 1.1 is a tenth above the fitted line.

    ``month`` is 1 to 12; ``days_on_shelf`` None where nobody knows; ``asked`` or else sold.
    """

    ratio: float
    month: int
    days_on_shelf: int | None
    asked: bool

    @property
    def quarter(self) -> int:
        """Return the quarter of the year, 1 to 4."""
        return (self.month - 1) // MONTHS_A_QUARTER + 1


@dataclass(frozen=True, slots=True)
class Share:
    """The median ratio of some prices to their basis, and how many they were."""

    ratio: float | None
    count: int


@dataclass(frozen=True, slots=True)
class Market:
    """Prices by quarter, asked and sold prices, and the median days until a bike sold."""

    quarters: tuple[Share, ...]
    asked: Share
    sold: Share
    days_on_shelf: float | None
    shelf_count: int


def market_of(seen: Sequence[Seen]) -> Market:
    """Return what these prices say of season, asking and time on the shelf."""
    days = [each.days_on_shelf for each in seen if each.days_on_shelf is not None]
    return Market(
        tuple(_share([each for each in seen if each.quarter == number]) for number in QUARTERS),
        _share([each for each in seen if each.asked]),
        _share([each for each in seen if not each.asked]),
        median(days) if days else None,
        len(days),
    )


def _share(seen: Sequence[Seen]) -> Share:
    ratios = [each.ratio for each in seen]
    return Share(median(ratios) if ratios else None, len(ratios))
