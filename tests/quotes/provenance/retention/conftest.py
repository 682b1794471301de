"""What the tests of retention share: a clock that can be put back, and buying a bike in."""

import datetime as dt

import pytest
from django.utils import timezone

from quotes.provenance.models import ProvenanceCheck
from workshop.bikes.models import Bike, Stage
from workshop.bikes.verbs.stages import move_to

TODAY = dt.datetime(2026, 5, 20, 12, tzinfo=dt.UTC)


@pytest.fixture(autouse=True)
def on(monkeypatch):
    """Put the clock to a day such as 2026-05-20, which it shows at first."""

    def put(day: str) -> None:
        noon = dt.datetime.fromisoformat(day).replace(hour=12, tzinfo=dt.UTC)
        monkeypatch.setattr(timezone, "now", lambda: noon)

    put("2026-05-20")
    return put


@pytest.fixture
def buy():
    """Buy the bike of a check in."""

    def bought(check: ProvenanceCheck) -> Bike:
        bike = Bike.objects.get(pk=check.bike_id)
        bike.stage = Stage.INSPECTED
        bike.save()
        return move_to(bike, Stage.BOUGHT)

    return bought
