"""Where the walk leads, and what each step shows."""

import datetime as dt

import pytest
from django.utils import timezone

from tests.factories.inspections import FindingFactory, PhotoFactory
from tests.workshop.inspections.asking import codes, look
from workshop.inspections.models import Check, Outcome
from workshop.inspections.selectors import findings_of, walk_of

pytestmark = pytest.mark.django_db


class TestWhereToGo:
    """The next step, for one and for two people."""

    def test_the_first_open_one(self, inspection, points):
        look(inspection, points[0], points[2])
        walk = walk_of(inspection)
        assert (walk.done, walk.total) == (2, 4)
        assert walk.next_step == walk.step("main-hinge")
        assert codes(walk.open_steps) == ["main-hinge", "rear-hub"]

    def test_after_a_step_the_next_open_one_going_round_once(self, inspection, points):
        look(inspection, points[2])
        walk = walk_of(inspection)
        assert walk.next_after(walk.step("main-hinge")) == walk.step("rear-hub")
        assert walk.next_after(walk.step("rear-hub")) == walk.step("front-hub")

    def test_the_step_itself_is_not_its_own_next(self, inspection, points):
        look(inspection, *points[:3])
        walk = walk_of(inspection)
        assert walk.next_after(walk.step("rear-hub")) is None

    def test_nothing_is_next_when_all_is_done(self, inspection, points):
        look(inspection, *points)
        walk = walk_of(inspection)
        assert walk.next_step is None
        assert walk.next_for(inspection.started_by) is None

    def test_two_people_go_on_each_in_their_own_half(self, inspection, points, sam, mo):
        look(inspection, points[0], by=sam)
        look(inspection, points[2], by=mo)
        walk = walk_of(inspection)
        assert walk.next_for(sam) == walk.step("main-hinge")
        assert walk.next_for(mo) == walk.step("rear-hub")

    def test_who_has_not_begun_begins_at_the_first_open_one(self, inspection, points, sam, mo):
        look(inspection, points[0], by=sam)
        assert codes([walk_of(inspection).next_for(mo)]) == ["main-hinge"]

    def test_a_person_goes_on_after_the_check_they_made_last(self, inspection, points, sam):
        later, earlier = look(inspection, points[0], points[2], by=sam)
        now = timezone.now()
        Check.objects.filter(pk=later.pk).update(at=now)
        Check.objects.filter(pk=earlier.pk).update(at=now - dt.timedelta(minutes=5))
        assert codes([walk_of(inspection).next_for(sam)]) == ["main-hinge"]

    def test_neighbours_are_found_done_or_not(self, inspection, points):
        look(inspection, points[0])
        walk = walk_of(inspection)
        first, last = walk.steps[0], walk.steps[-1]
        assert walk.before(first) is None
        assert walk.after(first) == walk.steps[1]
        assert walk.before(walk.steps[1]) == first
        assert walk.after(last) is None

    def test_stretches_leave_out_what_this_bike_does_not_have(self, inspection, points):
        look(inspection, points[0])
        stretches = walk_of(inspection).stretches
        assert [stretch.zone.value for stretch in stretches] == ["front", "frame", "drive", "rear"]
        assert [stretch.done for stretch in stretches] == [1, 0, 0, 0]
        assert stretches[0].first_open is None
        assert stretches[1].first_open


class TestMarks:
    """What a step shows."""

    def test_each_outcome_has_its_mark(self, inspection, points):
        look(inspection, points[0])
        look(inspection, points[2], outcome=Outcome.NOT_TESTED, not_tested_reason="seized")
        FindingFactory(
            check_made__inspection=inspection,
            fault=points[1].faults.get(code="hinge-crack"),
        )
        walk = walk_of(inspection)
        assert [step.mark for step in walk.steps] == ["sound", "unsafe", "not_tested", "unseen"]
        assert [str(each.fault) for each in walk.deal_breakers] == ["Crack at the weld"]

    def test_the_worst_of_several_findings_counts(self, inspection, hinge):
        (check,) = look(inspection, hinge, outcome=Outcome.FINDINGS)
        for code in ("hinge-stiff", "hinge-loose"):
            FindingFactory(check_made=check, fault=hinge.faults.get(code=code))
        step = walk_of(inspection).step("main-hinge")
        assert step.mark == "needs_work"
        assert [each.fault.code for each in step.findings] == ["hinge-loose", "hinge-stiff"]

    def test_judged_sound_for_a_reason_it_is_no_finding(self, inspection, hinge):
        (check,) = look(inspection, hinge)
        FindingFactory(
            check_made=check,
            fault=hinge.faults.get(code="hinge-crack"),
            judgement="sound",
            rule_judgement="unsafe",
            override_reason="a scratch",
        )
        walk = walk_of(inspection)
        assert walk.step("main-hinge").mark == "sound"
        assert not walk.step("main-hinge").findings
        assert not walk.deal_breakers
        assert not findings_of(inspection)

    def test_the_state_changes_with_every_save_and_photo(self, inspection, points):
        states = {walk_of(inspection).state}
        (check,) = look(inspection, points[0])
        states.add(walk_of(inspection).state)
        Check.objects.filter(pk=check.pk).update(version=2)
        states.add(walk_of(inspection).state)
        PhotoFactory(check_made=check)
        states.add(walk_of(inspection).state)
        inspection.finished_at = timezone.now()
        states.add(walk_of(inspection).state)
        assert len(states) == 5
