"""What the tests of the stock book share: the day it is, and a shop that may sell."""

import datetime as dt

import pytest
from django.utils import timezone

from tests.factories.sales import trading_shop

TODAY = dt.date(2026, 5, 20)


@pytest.fixture(autouse=True)
def _today(monkeypatch):
    """Let it be the 20th of May 2026."""
    monkeypatch.setattr(timezone, "localdate", lambda *_: TODAY)


@pytest.fixture
def shop(db):
    """A British shop, margin scheme."""
    return trading_shop()
