"""A thing that belongs to some kinds of bike is offered for those and for no other."""

from __future__ import annotations

from itertools import product
from types import SimpleNamespace

import pytest

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


def test_every_fault_has_a_remedy_for_every_kind_of_bike_that_can_have_it(catalogue):
    kinds = [Bike(frame=f, brake=b, gears=g) for f, b, g in product(Frame, Brake, Gears)]
    faults = Fault.objects.filter(deal_breaker=False).exclude(code__in=BY_HAND)
    checkpoints = {each.pk: each for each in Checkpoint.objects.filter(equipment=[])}
    bare = {
        (fault.code, bike.brake, bike.gears)
        for fault in faults.prefetch_related("options__remedy")
        if fault.checkpoint_id in checkpoints
        for bike in kinds
        if checkpoints[fault.checkpoint_id].applies_to(bike)
        and not any(is_for(option.remedy, bike) for option in fault.options.all())
    }
    assert bare == set()
