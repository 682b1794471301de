"""A shop with rates, a bike offered to it, and people signed in."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.utils import timezone

from tests.factories.bikes import BikeFactory
from tests.factories.inspections import (
    CheckpointFactory,
    FaultFactory,
    FindingFactory,
    InspectionFactory,
)
from tests.factories.people import UserFactory
from tests.factories.printing import RevisionBuilder
from tests.factories.shop import ShopFactory, vat_rates
from workshop.bikes.models import Stage
from workshop.inspections.models import Checkpoint

FIGURES = {
    "resale_price": "320",
    "purchase_price": "90",
    "refurbishment_cost": "60",
    "scheme": "margin",
    "vat_rate": "20",
    "selling_fee_share": "5",
    "selling_fee_net": "2",
    "warranty_share": "3",
    "target_profit": "80",
}


@pytest.fixture
def figures():
    """A form as it is filled in: bought at 90 and sold at 320 under the margin scheme."""
    return dict(FIGURES)


@pytest.fixture
def shop(db):
    """A registered shop that sells under the margin scheme."""
    vat_rates()
    return ShopFactory.create(
        selling_fee_share=Decimal("0.05"),
        selling_fee_net=Decimal(2),
        warranty_share=Decimal("0.03"),
        target_margin_net=Decimal(80),
    )


@pytest.fixture
def bike(shop):
    """A bike offered for 90, inspected."""
    return BikeFactory.create(asking_price=Decimal(90), stage=Stage.INSPECTED)


@pytest.fixture
def boss(client):
    """A browser in which the manager is signed in."""
    client.force_login(UserFactory.create(manager=True))
    return client


@pytest.fixture
def quoted():
    """A function that gives a bike a quote with labour, access, parts, sundries and a hand line."""

    def make(bike):
        made = RevisionBuilder(bike=bike)
        hub = made.finding("Rear hub", "Play in the bearings")
        made.line("Adjust the hub", "16.00", [hub], cost_net=Decimal("7.00"))
        made.line("Wheel out and in", "4.80", [hub], "access", cost_net=Decimal("2.10"))
        made.line("Cones", "9.00", [hub], "part", cost_net=Decimal("4.33"))
        made.line("Sundries", "0.62", [hub], "sundry", cost_net=Decimal("0.62"))
        made.line("New grips", "12.00", [hub], "hand", cost_net=Decimal("5.00"))
        made.line("Chain", "20.00", [hub], "part", cost_net=Decimal(9), left_out=True, reason="no")
        return made.revision

    return make


@pytest.fixture
def found():
    """A function that gives a bike an inspection with a number of findings of one judgement."""

    def make(bike, count, judgement="watch", code="fault", **fields):
        by = bike.booked_in_by
        inspection = InspectionFactory.create(
            bike=bike, started_by=by, finished_by=by, finished_at=timezone.now()
        )
        for number in range(count):
            point = CheckpointFactory.create(
                name=f"Place {number}", order=5000 + Checkpoint.objects.count()
            )
            fault = FaultFactory.create(code=f"{code}-{number}", checkpoint=point)
            FindingFactory.create(
                fault=fault,
                judgement=judgement,
                check_made__inspection=inspection,
                **fields,
            )
        return inspection

    return make
