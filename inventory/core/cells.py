"""What stands in a cell of a file that a list is written to."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from decimal import Decimal


@dataclass(frozen=True, slots=True)
class Money:
    """An amount with its currency (ISO 4217)."""

    amount: Decimal
    currency: str


@dataclass(frozen=True, slots=True)
class Share:
    """A fraction that people read in per cent: 0.4 is 40 %."""

    fraction: Decimal


Cell = str | int | Decimal | Money | Share | dt.date | dt.datetime | None
