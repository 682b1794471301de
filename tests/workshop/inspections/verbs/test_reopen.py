"""Reopening a finished inspection."""

import pytest

from workshop.bikes.models import Stage
from workshop.inspections.verbs.finish import finish_inspection
from workshop.inspections.verbs.record import record_sound
from workshop.inspections.verbs.reopen import NewerInspectionError, reopen_inspection
from workshop.inspections.verbs.start import start_inspection

pytestmark = pytest.mark.django_db


@pytest.fixture
def finished(bike, points, sam):
    return finish_inspection(start_inspection(bike, sam), sam, rest_because="seller left")


def test_it_is_open_again_and_so_is_the_bike(finished, bike, points, sam):
    reopen_inspection(finished)
    finished.refresh_from_db()
    bike.refresh_from_db()
    assert finished.finished_at is None
    assert finished.finished_by is None
    assert bike.stage == Stage.INSPECTING
    assert record_sound(finished, points[0], by=sam, base_version=1).version == 2


def test_an_open_one_stays_open(bike, sam):
    inspection = start_inspection(bike, sam)
    assert reopen_inspection(inspection).finished_at is None


def test_with_a_newer_one_it_is_refused(finished, bike, sam):
    start_inspection(bike, sam)
    with pytest.raises(NewerInspectionError, match="newer inspection"):
        reopen_inspection(finished)
    finished.refresh_from_db()
    assert finished.finished_at


@pytest.mark.parametrize("stage", [Stage.QUOTED, Stage.SENT, Stage.ACCEPTED, Stage.BOUGHT])
def test_a_bike_with_a_quote_or_bought_does_not_go_back(finished, bike, stage):
    type(bike).objects.filter(pk=bike.pk).update(stage=stage)
    reopen_inspection(finished)
    bike.refresh_from_db()
    assert bike.stage == stage
