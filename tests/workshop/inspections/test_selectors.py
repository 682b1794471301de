"""Reading the walk, its findings and its drawing."""

from decimal import Decimal

import pytest
from django.http import Http404
from django.utils import timezone

from tests.factories.bikes import BikeFactory
from tests.factories.inspections import (
    CheckpointFactory,
    FaultFactory,
    FindingFactory,
    InspectionFactory,
    PhotoFactory,
    ReadingFactory,
)
from tests.workshop.inspections.asking import codes, look
from workshop.core.drawing import Mark
from workshop.inspections.models import Outcome
from workshop.inspections.selectors import (
    checkpoint_to_judge,
    drawing_of,
    findings_of,
    inspection_for_walk,
    judge_for,
    latest_inspection,
    photos_of,
    walk_of,
)

pytestmark = pytest.mark.django_db


class TestWhichCheckpoints:
    """The walk round every kind of bike."""

    @pytest.mark.parametrize(
        ("limits", "bike", "belongs"),
        [
            ({}, {}, True),
            ({"frames": ["folding"]}, {"frame": "folding"}, True),
            ({"frames": ["folding"]}, {"frame": "diamond"}, False),
            ({"brakes": ["disc"]}, {"brake": "rim"}, False),
            ({"brakes": ["disc", "rim"]}, {"brake": "rim"}, True),
            ({"brakes": ["hub"]}, {"brake": "hub"}, True),
            ({"gears": ["derailleur", "both"]}, {"gears": "both"}, True),
            ({"gears": ["derailleur", "both"]}, {"gears": "hub"}, False),
            ({"gears": ["single"]}, {"gears": "single"}, True),
            ({"equipment": ["has_rack"]}, {}, False),
            ({"equipment": ["has_rack"]}, {"has_rack": True}, True),
            ({"equipment": ["has_rack", "has_lights"]}, {"has_rack": True}, False),
            ({"equipment": ["has_mudguards"]}, {"has_mudguards": True}, True),
            ({"frames": ["folding"], "brakes": ["disc"]}, {"brake": "rim"}, False),
            ({"active": False}, {}, False),
        ],
    )
    def test_a_checkpoint_belongs_where_all_its_conditions_hold(self, limits, bike, belongs):
        CheckpointFactory(code="it", **limits)
        walk = walk_of(InspectionFactory(bike=BikeFactory(**bike)))
        assert codes(walk.steps) == (["it"] if belongs else [])

    def test_they_come_in_order_and_are_counted_from_one(self, inspection):
        walk = walk_of(inspection)
        assert codes(walk.steps) == ["front-hub", "main-hinge", "chain", "rear-hub"]
        assert [step.number for step in walk.steps] == [1, 2, 3, 4]

    def test_what_was_looked_at_stays_though_the_bike_turned_out_otherwise(
        self, inspection, points
    ):
        look(inspection, points[1])
        inspection.bike.frame = "diamond"
        assert "main-hinge" in codes(walk_of(inspection).steps)

    def test_a_finished_walk_stays_as_it_was_walked(self, inspection, points):
        look(inspection, *points)
        inspection.finished_at, inspection.finished_by = timezone.now(), inspection.started_by
        inspection.save()
        CheckpointFactory(code="new-one", order=5)
        points[2].active = False
        points[2].save()
        walk = walk_of(inspection)
        assert codes(walk.steps) == ["front-hub", "main-hinge", "chain", "rear-hub"]
        assert walk.done == walk.total == 4


class TestDrawing:
    """The drawing of the walk."""

    def test_marks_stand_where_the_checkpoints_are_and_lead_there(self, inspection, points):
        points[0].folding_x, points[0].folding_y = 100, 320
        points[0].save()
        look(inspection, points[0])
        drawing = drawing_of(walk_of(inspection), link=True)
        assert drawing.shape == "folding"
        assert drawing.marks[0] == Mark(
            x=100,
            y=320,
            judgement="sound",
            label="Front hub",
            number=1,
            url=f"/inspections/{inspection.pk}/front-hub/",
        )
        assert [mark.judgement for mark in drawing.marks[1:]] == ["unseen"] * 3

    def test_on_paper_marks_lead_nowhere(self, inspection):
        assert {mark.url for mark in drawing_of(walk_of(inspection), link=False).marks} == {""}

    def test_each_frame_has_its_own_places(self, points):
        points[0].diamond_x, points[0].diamond_y = 11, 22
        points[0].save()
        walk = walk_of(InspectionFactory(bike=BikeFactory(diamond=True)))
        drawing = drawing_of(walk, link=False)
        assert drawing.shape == "diamond"
        assert (drawing.marks[0].x, drawing.marks[0].y) == (11, 22)

    def test_a_checkpoint_without_a_place_has_no_mark_but_keeps_its_number(
        self, inspection, points
    ):
        points[1].folding_x = None
        points[1].save()
        drawing = drawing_of(walk_of(inspection), link=False)
        assert [mark.number for mark in drawing.marks] == [1, 3, 4]

    def test_it_says_in_words_what_it_shows(self, inspection, hinge):
        assert drawing_of(walk_of(inspection), link=False).desc == (
            "0 of 4 checkpoints looked at. Nothing found so far."
        )
        FindingFactory(
            check_made__inspection=inspection, fault=hinge.faults.get(code="hinge-stiff")
        )
        assert drawing_of(walk_of(inspection), link=False).desc == (
            "1 of 4 checkpoints looked at. Main frame hinge: Hinge too stiff, watch."
        )


class TestFindings:
    """The findings of an inspection."""

    def test_they_come_in_the_order_of_the_walk(self, inspection, points):
        for point, code in ((points[2], "chain-worn"), (points[0], "front-hub-play")):
            FindingFactory(check_made__inspection=inspection, fault=point.faults.get(code=code))
        (check,) = look(inspection, points[1], outcome=Outcome.FINDINGS)
        for code in ("hinge-crack", "hinge-stiff"):
            FindingFactory(check_made=check, fault=points[1].faults.get(code=code))
        assert [row.fault.code for row in findings_of(inspection)] == [
            "front-hub-play",
            "hinge-stiff",
            "hinge-crack",
            "chain-worn",
        ]

    def test_another_inspections_are_not_among_them(self, inspection):
        FindingFactory()
        assert not findings_of(inspection)


def fill(inspection, count):
    """Look at ``count`` more checkpoints, with two findings, a reading and a photo each."""
    for _ in range(count):
        point = CheckpointFactory()
        (check,) = look(inspection, point, outcome=Outcome.FINDINGS)
        for _ in range(2):
            FindingFactory(check_made=check, fault=FaultFactory(checkpoint=point))
        ReadingFactory(check_made=check, measure__checkpoint=point)
        PhotoFactory(check_made=check)


@pytest.mark.parametrize("count", [1, 8])
def test_a_walk_takes_four_queries_for_any_number(count, inspection, django_assert_num_queries):
    fill(inspection, count)
    inspection = inspection_for_walk(inspection.pk)
    with django_assert_num_queries(4):
        walk = walk_of(inspection)
        assert walk.deal_breakers == ()
        assert len(drawing_of(walk, link=True).marks) == 4 + count
        assert [str(row) for step in walk.steps if step.check for row in step.check.readings.all()]
        assert [str(step.check.by) for step in walk.steps if step.check]
        assert walk.state
        assert walk.next_for(inspection.started_by)


@pytest.mark.parametrize("count", [1, 8])
def test_findings_take_three_queries_for_any_number(count, inspection, django_assert_num_queries):
    fill(inspection, count)
    with django_assert_num_queries(3):
        for row in findings_of(inspection):
            assert row.fault.checkpoint.name
            assert row.check_made.checkpoint.name
            assert [str(reading) for reading in row.check_made.readings.all()] == ["0.1 mm"]
            assert len(row.check_made.photos.all()) == 1
            assert row.rule is None
            assert str(row.by)


@pytest.mark.parametrize("count", [1, 8])
def test_a_judge_takes_four_queries_for_any_number_of_rules(
    count, inspection, hinge, django_assert_num_queries
):
    from tests.factories.inspections import JudgementRuleFactory

    for _ in range(count):
        JudgementRuleFactory(fault=FaultFactory(checkpoint=hinge))
    with django_assert_num_queries(4):
        judge = judge_for(inspection, "main-hinge", None)
        assert judge.readings({"hinge-play": Decimal("0.2")})


def test_an_unknown_inspection_or_checkpoint_is_not_found():
    with pytest.raises(Http404):
        inspection_for_walk(4711)
    with pytest.raises(Http404):
        checkpoint_to_judge("nowhere")


def test_the_latest_inspection_is_the_newest(inspection):
    inspection.finished_at, inspection.finished_by = timezone.now(), inspection.started_by
    inspection.save()
    newer = InspectionFactory(bike=inspection.bike)
    assert latest_inspection(inspection.bike) == newer
    assert latest_inspection(BikeFactory()) is None


def test_photos_come_oldest_first_and_none_without_a_check(inspection, hinge):
    (check,) = look(inspection, hinge)
    first, second = PhotoFactory(check_made=check), PhotoFactory(check_made=check)
    assert photos_of(check) == [first, second]
    assert photos_of(None) == ()
