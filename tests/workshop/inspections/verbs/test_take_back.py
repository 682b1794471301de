"""Taking back what was recorded by mistake: all of it goes, or nothing."""

from decimal import Decimal

import pytest

from quotes.quoting.verbs.start import start_quote
from tests.factories import quotes as made
from tests.factories.inspections import PhotoFactory
from workshop.core.judgement import Judgement
from workshop.inspections.judging import FaultInput
from workshop.inspections.models import Check, Finding, Outcome, Photo, Reading
from workshop.inspections.selectors import inspection_for_walk, walk_of
from workshop.inspections.verbs.finish import finish_inspection
from workshop.inspections.verbs.locking import FinishedError
from workshop.inspections.verbs.record import StaleCheckError, record_check, record_sound
from workshop.inspections.verbs.take_back import QuotedError, take_back

pytestmark = pytest.mark.django_db


@pytest.fixture
def stiff(inspection, hinge, sam):
    """A finding with a reading at the hinge, by Sam."""
    return record_check(
        inspection,
        hinge,
        by=sam,
        base_version=0,
        outcome=Outcome.FINDINGS,
        faults=[FaultInput("hinge-stiff")],
        readings={"hinge-play": Decimal(0)},
    )


def test_all_that_was_recorded_goes(inspection, hinge, stiff):
    PhotoFactory(check_made=stiff)
    take_back(inspection, hinge, base_version=1)
    for kept in (Check, Finding, Reading, Photo):
        assert not kept.objects.exists()


@pytest.mark.django_db(transaction=True)
def test_the_files_of_photos_go_with_it(inspection, hinge, stiff, settings):
    PhotoFactory(check_made=stiff)
    assert any(path.is_file() for path in settings.MEDIA_ROOT.rglob("*"))
    take_back(inspection, hinge, base_version=1)
    assert not any(path.is_file() for path in settings.MEDIA_ROOT.rglob("*"))


def test_a_second_tap_changes_nothing(inspection, hinge, stiff):
    take_back(inspection, hinge, base_version=1)
    take_back(inspection, hinge, base_version=1)
    assert not Check.objects.exists()


def test_what_somebody_saved_meanwhile_is_kept(inspection, hinge, mo, stiff):
    record_sound(inspection, hinge, by=mo, base_version=1)
    with pytest.raises(StaleCheckError, match="Mo Abara"):
        take_back(inspection, hinge, base_version=1)
    assert Check.objects.get().outcome == Outcome.SOUND


def test_a_finished_walk_is_left_alone(inspection, hinge, sam, stiff):
    finish_inspection(inspection, sam, rest_because="rain")
    with pytest.raises(FinishedError):
        take_back(inspection, hinge, base_version=1)
    assert Finding.objects.exists()


def test_what_stands_on_a_quote_stays_with_its_photos(inspection, hinge, sam, stiff):
    made.priced_shop()
    PhotoFactory(check_made=stiff)
    start_quote(inspection, sam)
    with pytest.raises(QuotedError, match="judge it “sound”"):
        take_back(inspection, hinge, base_version=1)
    assert Finding.objects.get().judged is Judgement.WATCH
    assert Photo.objects.exists()


def test_somebody_who_looks_on_is_told_of_it(inspection, hinge, points, sam, stiff):
    before = walk_of(inspection_for_walk(inspection.pk)).state
    take_back(inspection, hinge, base_version=1)
    record_sound(inspection, points[0], by=sam, base_version=0)
    after = walk_of(inspection_for_walk(inspection.pk))
    assert after.done == 1
    assert after.state != before
