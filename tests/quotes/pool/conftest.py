"""What the tests of the pool share: a British pool, and a day in its sixth quarter."""

import datetime as dt

import pytest
from django.utils import timezone

from tests.factories.people import UserFactory
from tests.factories.pool import british_pool

TODAY = dt.date(2026, 5, 20)


@pytest.fixture(autouse=True)
def _today(monkeypatch):
    """Let it be the 20th of May 2026."""
    monkeypatch.setattr(timezone, "localdate", lambda *_: TODAY)


@pytest.fixture
def pool(db):
    """A pool by quarters since January 2025."""
    return british_pool()


@pytest.fixture
def manager(db):
    """A manager."""
    return UserFactory.create(manager=True)
