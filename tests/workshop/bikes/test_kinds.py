"""A thing that belongs to some kinds of bike is offered for those and for no other."""

from __future__ import annotations

from itertools import product
from types import SimpleNamespace

import pytest

from tests.factories.bikes import BikeFactory
from workshop.bikes.kinds import is_for
from workshop.bikes.models import Bike, Brake, Frame, Gears
from workshop.inspections.models import Checkpoint, Fault

BY_HAND = {"top-tube-dent", "frame-out-of-line", "road-test-noise"}


def thing(**lists):
    return SimpleNamespace(**({"frames": [], "brakes": [], "gears": []} | lists))


def test_empty_lists_mean_every_bike():
    assert is_for(thing(), Bike(frame=Frame.FOLDING, brake=Brake.HUB, gears=Gears.BOTH))


@pytest.mark.parametrize(
    ("lists", "fits"),
    [
        ({"brakes": ["rim"]}, True),
        ({"brakes": ["disc", "hub"]}, False),
        ({"gears": ["hub"], "brakes": ["rim"]}, False),
        ({"frames": ["diamond"]}, False),
    ],
)
def test_each_list_that_is_not_empty_must_name_the_bike(lists, fits):
    bike = Bike(frame=Frame.FOLDING, brake=Brake.RIM, gears=Gears.DERAILLEUR)
    assert is_for(thing(**lists), bike) is fits


@pytest.mark.parametrize(
    ("end", "belongs"), [("front", {"rim"}), ("rear", {"hub"}), ("whole", {"rim", "hub"})]
)
def test_the_brake_of_an_end_decides_there_and_either_elsewhere(end, belongs):
    bike = Bike(frame=Frame.FOLDING, brake=Brake.RIM, rear_brake=Brake.HUB, gears=Gears.SINGLE)
    assert {kind for kind in Brake if is_for(thing(brakes=[kind]), bike, end)} == belongs
    assert bike.brakes == "rim brakes in front, hub or coaster brakes behind"


def test_a_brake_behind_of_the_same_kind_is_not_another(db):
    bike = BikeFactory.create(brake=Brake.DISC, rear_brake=Brake.DISC)
    assert (bike.rear_brake, bike.brakes) == ("", "disc brakes")
    assert bike.brakes_at("rear") == bike.brakes_at("front") == bike.brakes_at() == {"disc"}


def test_every_fault_has_a_remedy_for_every_kind_of_bike_that_can_have_it(catalogue):
    kinds = [
        Bike(frame=frame, brake=front, rear_brake=rear, gears=gears)
        for frame, front, rear, gears in product(Frame, Brake, Brake, Gears)
    ]
    faults = Fault.objects.filter(deal_breaker=False).exclude(code__in=BY_HAND)
    checkpoints = {each.pk: each for each in Checkpoint.objects.filter(equipment=[])}
    bare = {
        (fault.code, bike.brakes, bike.gears)
        for fault in faults.select_related("checkpoint").prefetch_related("options__remedy")
        if fault.checkpoint_id in checkpoints
        for bike in kinds
        if checkpoints[fault.checkpoint_id].applies_to(bike)
        and not any(option.suits(bike) for option in fault.options.all())
    }
    assert bare == set()
