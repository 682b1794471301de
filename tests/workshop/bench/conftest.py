"""What the tests of this room share: a Monday morning, a shop, work of so many minutes."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal
from itertools import count
from zoneinfo import ZoneInfo

import pytest

from tests.factories import bench as made
from tests.factories.jobcards import asked, operation
from tests.factories.shop import ShopFactory

MONDAY = dt.datetime(2026, 3, 2, 7, 0, tzinfo=ZoneInfo("Europe/London"))
_numbers = count(1)


@pytest.fixture
def monday(db, monkeypatch):
    """Let it be Monday, 2 March 2026, seven in the morning; promises for an even chance."""
    monkeypatch.setattr("django.utils.timezone.now", lambda: MONDAY)
    ShopFactory.create(usual_lead_days=5)
    made.settings(share=Decimal("0.5"))
    return MONDAY


@pytest.fixture
def work():
    """Return a maker of work of one task of so many standard minutes, with parts."""

    def make(minutes, *parts):
        code = operation(f"work-{next(_numbers)}")
        one = asked(code, parts=tuple((code, part, many) for part, many in parts))
        task = type(one.tasks[0])(code, "Work", Decimal(minutes))
        return type(one)(one.quote_number, 1, next(_numbers), (task,), one.parts)

    return make
