"""Finishing an inspection."""

import pytest

from workshop.bikes.models import Stage
from workshop.inspections.models import Check, Outcome
from workshop.inspections.verbs.finish import UnfinishedError, finish_inspection
from workshop.inspections.verbs.locking import FinishedError
from workshop.inspections.verbs.record import record_sound
from workshop.inspections.verbs.start import start_inspection

pytestmark = pytest.mark.django_db


@pytest.fixture
def begun(bike, points, sam):
    return start_inspection(bike, sam)


def test_with_everything_looked_at_it_is_finished_and_the_bike_moves_on(begun, points, bike, sam):
    for point in points:
        record_sound(begun, point, by=sam, base_version=0)
    finish_inspection(begun, sam)
    begun.refresh_from_db()
    bike.refresh_from_db()
    assert begun.finished_at
    assert begun.finished_by == sam
    assert bike.stage == Stage.INSPECTED


def test_open_checkpoints_are_named_in_order_and_nothing_changes(begun, points, bike, sam):
    record_sound(begun, points[1], by=sam, base_version=0)
    with pytest.raises(UnfinishedError, match="Front hub, Chain, Rear hub") as refused:
        finish_inspection(begun, sam)
    assert refused.value.checkpoints == (points[0], points[2], points[3])
    begun.refresh_from_db()
    bike.refresh_from_db()
    assert begun.finished_at is None
    assert bike.stage == Stage.INSPECTING
    assert Check.objects.count() == 1


def test_the_rest_may_be_left_for_a_reason_that_is_kept(begun, points, sam, mo):
    record_sound(begun, points[0], by=sam, base_version=0)
    finish_inspection(begun, mo, rest_because=" deal-breaker found ")
    left = Check.objects.filter(outcome=Outcome.NOT_TESTED)
    assert [(check.not_tested_reason, check.by) for check in left] == [
        ("deal-breaker found", mo)
    ] * 3


def test_blank_is_no_reason(begun, sam):
    with pytest.raises(UnfinishedError):
        finish_inspection(begun, sam, rest_because="  ")


def test_finished_twice_is_an_error(begun, sam):
    finish_inspection(begun, sam, rest_because="x")
    with pytest.raises(FinishedError):
        finish_inspection(begun, sam)


def test_a_bike_with_a_quote_stays_where_it_stands(begun, bike, sam):
    type(bike).objects.filter(pk=bike.pk).update(stage=Stage.SENT)
    finish_inspection(begun, sam, rest_because="x")
    bike.refresh_from_db()
    assert bike.stage == Stage.SENT
