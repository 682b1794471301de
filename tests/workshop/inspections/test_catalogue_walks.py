"""The walk that the shop's own catalogue gives round every kind of bike."""

from decimal import Decimal
from itertools import product

import pytest

from tests.factories.bikes import BikeFactory
from tests.factories.inspections import InspectionFactory
from workshop.bikes.models import Brake, Frame, Gears
from workshop.catalogue.loading import load_catalogue
from workshop.core.drawing import spread
from workshop.inspections.models import Checkpoint
from workshop.inspections.selectors import drawing_of, judge_for, walk_of

pytestmark = pytest.mark.django_db

ALL_ON = {"has_rack": True, "has_mudguards": True, "has_lights": True}


def walk_round(**bike):
    return walk_of(InspectionFactory(bike=BikeFactory(**bike)))


def test_every_kind_of_bike_has_a_walk_of_its_own_that_can_be_drawn():
    load_catalogue()
    used = set()
    for frame, brake, gears in product(Frame, Brake, Gears):
        walk = walk_round(frame=frame, brake=brake, gears=gears, **ALL_ON)
        used |= {step.checkpoint.code for step in walk.steps}
        assert walk.total >= 40
        for step in walk.steps:
            point = step.checkpoint
            assert frame in (point.frames or Frame)
            assert brake in (point.brakes or Brake)
            assert gears in (point.gears or Gears)
        drawing = drawing_of(walk, link=True)
        assert len(drawing.marks) == walk.total
        assert len(spread(drawing.marks)) == walk.total
    assert used == {point.code for point in Checkpoint.objects.filter(active=True)}


def test_each_brake_of_two_kinds_is_looked_at_where_it_is():
    load_catalogue()
    walk = walk_round(brake="rim", rear_brake="hub")
    told = {"rim": "rim", "hub": "hub", "disc": "rotor"}
    brakes = {
        step.checkpoint.code
        for step in walk.steps
        if step.checkpoint.brakes or any(word in step.checkpoint.code for word in told.values())
    }
    assert {"front-rim", "front-rim-brake", "rear-hub-brake"} <= brakes
    assert not brakes & {"rear-rim", "rear-rim-brake", "front-hub-brake"}


def test_a_rims_run_out_is_judged_by_the_brake_of_its_own_end():
    load_catalogue()
    inspection = InspectionFactory(bike=BikeFactory(brake="rim", rear_brake="hub"))
    alike = InspectionFactory(bike=BikeFactory(brake="rim"))
    for measure in ("lateral", "radial"):
        front, rear = (judge_of(inspection, end, measure) for end in ("front", "rear"))
        assert front == judge_of(alike, "front", measure)
        assert rear != judge_of(alike, "rear", measure)


def judge_of(inspection, end, measure):
    """Return how a run-out between the limits with and without a rim brake is judged."""
    code = f"{end}-{measure}"
    (point,) = Checkpoint.objects.filter(measures__code=code)
    return judge_for(inspection, point.code, None).readings({code: Decimal("1.5")})[0].judgement


def test_what_a_bike_does_not_have_is_not_asked():
    load_catalogue()
    bare, full = walk_round(), walk_round(**ALL_ON)
    gone = {step.checkpoint.code for step in full.steps} - {
        step.checkpoint.code for step in bare.steps
    }
    assert gone
    assert all(Checkpoint.objects.get(code=code).equipment for code in gone)


def test_every_checkpoint_can_be_judged_whatever_is_known_of_the_bike():
    load_catalogue()
    for year in (1995, 2025, None):
        inspection = InspectionFactory(bike=BikeFactory(maker_year=year))
        for step in walk_of(inspection).steps:
            judge = judge_for(inspection, step.checkpoint.code, None)
            least = {code: measure.plausible_min for code, measure in judge.measures.items()}
            most = {code: measure.plausible_max for code, measure in judge.measures.items()}
            assert len(judge.readings(least)) == len(judge.readings(most)) == len(judge.measures)
            assert judge.faults
            assert all(judge.fault(fault).judgement for fault in judge.faults)
