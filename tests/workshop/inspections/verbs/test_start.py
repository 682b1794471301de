"""Starting an inspection."""

import pytest

from tests.factories.bikes import BikeFactory
from workshop.bikes.models import Stage
from workshop.inspections.models import Inspection
from workshop.inspections.verbs.finish import finish_inspection
from workshop.inspections.verbs.start import start_inspection

pytestmark = pytest.mark.django_db


def test_it_is_open_has_a_name_and_moves_the_bike_on(bike, sam):
    inspection = start_inspection(bike, sam)
    bike.refresh_from_db()
    assert inspection.started_by == sam
    assert inspection.finished_at is None
    assert bike.stage == Stage.INSPECTING


def test_started_twice_it_is_the_same_one(bike, sam, mo):
    assert start_inspection(bike, sam) == start_inspection(bike, mo)
    assert Inspection.objects.count() == 1


def test_a_finished_one_is_followed_by_a_new_one(bike, sam):
    first = start_inspection(bike, sam)
    finish_inspection(first, sam)
    second = start_inspection(bike, sam)
    assert second != first
    assert Inspection.objects.count() == 2


@pytest.mark.parametrize(
    ("before", "after"),
    [
        (Stage.BOOKED_IN, Stage.INSPECTING),
        (Stage.INSPECTED, Stage.INSPECTING),
        (Stage.LEFT, Stage.INSPECTING),
        (Stage.REFUSED, Stage.INSPECTING),
        (Stage.QUOTED, Stage.QUOTED),
        (Stage.SENT, Stage.SENT),
        (Stage.ACCEPTED, Stage.ACCEPTED),
        (Stage.BOUGHT, Stage.BOUGHT),
    ],
)
def test_a_bike_with_a_quote_or_bought_does_not_go_back(before, after, sam):
    bike = BikeFactory(stage=before)
    start_inspection(bike, sam)
    bike.refresh_from_db()
    assert bike.stage == after


def test_the_stage_counts_as_it_stands_not_as_it_was_read(bike, sam):
    type(bike).objects.filter(pk=bike.pk).update(stage=Stage.SENT)
    start_inspection(bike, sam)
    bike.refresh_from_db()
    assert bike.stage == Stage.SENT
