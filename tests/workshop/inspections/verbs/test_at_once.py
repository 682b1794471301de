"""Two people act at the same moment."""

from concurrent.futures import ThreadPoolExecutor
from threading import Barrier

import pytest
from django.db import connections

from workshop.inspections.judging import FaultInput
from workshop.inspections.models import Check, Finding, Inspection, Outcome
from workshop.inspections.verbs.finish import finish_inspection
from workshop.inspections.verbs.locking import FinishedError
from workshop.inspections.verbs.record import StaleCheckError, record_check, record_sound
from workshop.inspections.verbs.start import start_inspection

pytestmark = pytest.mark.django_db(transaction=True)


def at_once(*acts):
    """Run the acts in threads that begin together; return their results or errors."""
    ready = Barrier(len(acts))

    def run(act):
        ready.wait()
        try:
            return act()
        except (StaleCheckError, FinishedError) as error:
            return error
        finally:
            connections.close_all()

    with ThreadPoolExecutor(len(acts)) as pool:
        return list(pool.map(run, acts))


def test_of_two_findings_at_one_checkpoint_one_is_kept_whole(inspection, hinge, sam, mo):
    def find(by, code):
        return lambda: record_check(
            inspection,
            hinge,
            by=by,
            base_version=0,
            outcome=Outcome.FINDINGS,
            faults=[FaultInput(code)],
            note=code,
        )

    results = at_once(find(sam, "hinge-crack"), find(mo, "hinge-stiff"))
    assert sorted(type(each).__name__ for each in results) == ["Check", "StaleCheckError"]
    check = Check.objects.get()
    assert [check.note] == [row.fault.code for row in Finding.objects.all()]


def test_different_checkpoints_are_both_kept(inspection, points, sam, mo):
    results = at_once(
        lambda: record_sound(inspection, points[0], by=sam, base_version=0),
        lambda: record_sound(inspection, points[3], by=mo, base_version=0),
    )
    assert all(isinstance(each, Check) for each in results)
    assert Check.objects.count() == 2


def test_two_who_start_get_the_same_inspection(bike, points, sam, mo):
    first, second = at_once(lambda: start_inspection(bike, sam), lambda: start_inspection(bike, mo))
    assert first == second
    assert Inspection.objects.count() == 1


def test_nothing_is_recorded_after_the_end(inspection, points, sam, mo):
    at_once(
        lambda: finish_inspection(inspection, sam, rest_because="seller left"),
        lambda: record_sound(inspection, points[0], by=mo, base_version=0),
    )
    inspection.refresh_from_db()
    assert inspection.finished_at
    assert Check.objects.count() == 4
