"""Stages: a bike goes only where it can go from where it stands."""

import pytest

from tests.factories.bikes import BikeFactory
from workshop.bikes.models import Stage
from workshop.bikes.verbs.stages import MOVES, StageError, move_to

pytestmark = pytest.mark.django_db


def test_every_stage_says_where_it_leads():
    assert set(MOVES) == set(Stage)


def test_every_stage_can_be_reached():
    reached, waiting = {Stage.BOOKED_IN}, [Stage.BOOKED_IN]
    while waiting:
        for stage in MOVES[waiting.pop()] - reached:
            reached.add(stage)
            waiting.append(stage)
    assert reached == set(Stage)


def test_the_way_of_a_bike_that_is_repaired():
    bike = BikeFactory.create()
    for stage in ("inspecting", "inspected", "quoted", "sent", "accepted"):
        move_to(bike, stage)
        bike.refresh_from_db()
        assert bike.stage == stage


def test_to_stay_is_no_error_and_leaves_no_trace():
    bike = BikeFactory.create()
    move_to(bike, Stage.BOOKED_IN)
    assert bike.history.count() == 1


def test_a_move_leaves_a_trace():
    bike = BikeFactory.create()
    move_to(bike, Stage.INSPECTING)
    assert [row.stage for row in bike.history.all()] == ["inspecting", "booked_in"]


def test_a_leap_is_refused_with_both_stages_named():
    bike = BikeFactory.create()
    with pytest.raises(StageError, match=r"“booked in”: it can't become “accepted”"):
        move_to(bike, Stage.ACCEPTED)
    bike.refresh_from_db()
    assert bike.stage == Stage.BOOKED_IN


def test_the_stage_in_the_database_counts_not_a_stale_copy():
    bike = BikeFactory.create()
    stale = type(bike).objects.get(pk=bike.pk)
    move_to(bike, Stage.INSPECTING)
    move_to(bike, Stage.INSPECTED)
    with pytest.raises(StageError):
        move_to(stale, Stage.BOOKED_IN)
    assert move_to(stale, Stage.QUOTED).stage == Stage.QUOTED


def test_an_unknown_stage_is_a_mistake_of_the_caller():
    with pytest.raises(ValueError, match="nowhere"):
        move_to(BikeFactory.create(), "nowhere")
