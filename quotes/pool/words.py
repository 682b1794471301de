"""How the pool writes days in its messages."""

from __future__ import annotations

import datetime as dt

from django.utils.formats import date_format


def in_words(day: dt.date) -> str:
    """Return a day in full: “1 February 2025”."""
    return date_format(day, "j F Y")
