"""Days as spreadsheets count them."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

EPOCH = dt.date(1899, 12, 30)
EPOCH_1904 = dt.date(1904, 1, 1)
LAST = 2_958_465


def day_of(count: Decimal, *, from_1904: bool = False) -> str:
    """Return the day a count of days stands for as 2026-03-14; the count itself where it is none.

    Source: ISO/IEC 29500-1, 18.17.4.1: serial 1 is 1 January 1900, or 0 is 1 January 1904.
    """
    if not 0 <= count <= LAST:
        return str(count)
    return ((EPOCH_1904 if from_1904 else EPOCH) + dt.timedelta(days=int(count))).isoformat()
