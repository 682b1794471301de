"""A small walk: four checkpoints, one of them a hinge with a reading, faults and rules."""

from decimal import Decimal

import pytest
from django.test import Client
from django.utils import timezone

from tests.factories.bikes import BikeFactory
from tests.factories.inspections import (
    CheckpointFactory,
    FaultFactory,
    InspectionFactory,
    JudgementRuleFactory,
    MeasureFactory,
)
from tests.factories.people import UserFactory
from workshop.inspections.models import Zone


@pytest.fixture
def sam():
    return UserFactory(first_name="Sam", last_name="Hollis")


@pytest.fixture
def mo():
    return UserFactory(first_name="Mo", last_name="Abara")


@pytest.fixture
def hinge():
    """The frame hinge: no play on a bike under five years, a trace is watched on an older one."""
    point = CheckpointFactory(
        code="main-hinge",
        name="Main frame hinge",
        zone=Zone.FRAME,
        order=20,
        frames=["folding"],
        what_fools="A loose latch feels like a worn pin.",
    )
    play = MeasureFactory(
        checkpoint=point, code="hinge-play", name="Play", plausible_max=Decimal(10)
    )
    loose = FaultFactory(checkpoint=point, code="hinge-loose", name="Hinge has play", order=1)
    FaultFactory(
        checkpoint=point,
        code="hinge-stiff",
        name="Hinge too stiff",
        default_judgement="watch",
        order=2,
    )
    FaultFactory(
        checkpoint=point,
        code="hinge-crack",
        name="Crack at the weld",
        default_judgement="unsafe",
        deal_breaker=True,
        order=3,
    )
    rule = {"measure": play, "fault": loose}
    JudgementRuleFactory(
        measure=play,
        fault=None,
        checkpoint=point,
        key="play-none",
        below=Decimal("0.05"),
        judgement="sound",
    )
    JudgementRuleFactory(
        **rule, key="play-young", at_least=Decimal("0.05"), age_below=5, judgement="needs_work"
    )
    JudgementRuleFactory(
        **rule,
        key="play-old",
        at_least=Decimal("0.05"),
        below=Decimal("0.3"),
        age_from=5,
        judgement="watch",
    )
    JudgementRuleFactory(**rule, key="play-much", at_least=Decimal("0.3"), judgement="unsafe")
    return point


@pytest.fixture
def points(hinge):
    """The whole small walk, in order."""
    front = CheckpointFactory(code="front-hub", name="Front hub", zone=Zone.FRONT, order=10)
    FaultFactory(checkpoint=front, code="front-hub-play", name="Front hub has play")
    chain = CheckpointFactory(code="chain", name="Chain", zone=Zone.DRIVE, order=30)
    FaultFactory(checkpoint=chain, code="chain-worn", name="Chain worn")
    rear = CheckpointFactory(code="rear-hub", name="Rear hub", zone=Zone.REAR, order=40)
    return [front, hinge, chain, rear]


@pytest.fixture
def bike():
    """A folding bike, ten years old whenever the test runs."""
    return _aged(10)


def _aged(years, **more):
    return BikeFactory(maker_year=timezone.localdate().year - years, **more)


@pytest.fixture
def aged():
    """Make a bike of so many years."""
    return _aged


@pytest.fixture
def inspection(bike, points, sam):
    """An open inspection of the ten-year-old folding bike, nothing looked at yet."""
    return InspectionFactory(bike=bike, started_by=sam)


@pytest.fixture
def sams(client, sam):
    """Sam's browser."""
    client.force_login(sam)
    return client


@pytest.fixture
def mos(mo):
    """Mo's browser."""
    browser = Client()
    browser.force_login(mo)
    return browser
