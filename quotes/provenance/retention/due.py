"""What retention speaks of: something due, and something kept though it is."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Due:
    """A record that is due: its primary key, how a person knows it, since when it lies."""

    pk: int
    label: str
    since: dt.datetime


@dataclass(frozen=True, slots=True)
class Kept:
    """Personal data that stay although they are due, and why."""

    what: str
    why: str
