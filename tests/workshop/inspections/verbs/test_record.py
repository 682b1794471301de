"""Recording what was found at a checkpoint."""

from decimal import Decimal

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from quotes.quoting.verbs.start import start_quote
from tests.factories.inspections import (
    CheckpointFactory,
    InspectionFactory,
    JudgementRuleFactory,
    jpeg,
)
from tests.factories.quotes import priced_shop
from workshop.bikes.photos import PhotoError
from workshop.core.judgement import Judgement
from workshop.inspections.judging import EntryError, FaultInput
from workshop.inspections.models import Check, Finding, Outcome, Photo, Reading
from workshop.inspections.verbs.finish import finish_inspection
from workshop.inspections.verbs.locking import FinishedError
from workshop.inspections.verbs.record import StaleCheckError, record_check, record_sound

pytestmark = pytest.mark.django_db

PLAY = {"hinge-play": Decimal("0.2")}


def find(inspection, point, by, *faults, version=0, **more):
    """Record findings."""
    return record_check(
        inspection,
        point,
        by=by,
        base_version=version,
        outcome=Outcome.FINDINGS,
        faults=[FaultInput(code) for code in faults],
        **more,
    )


def test_sound_in_one_go(inspection, hinge, sam):
    check = record_sound(inspection, hinge, by=sam, base_version=0)
    assert (check.outcome, check.version, check.by) == (Outcome.SOUND, 1, sam)
    assert not check.findings.exists()


def test_readings_faults_and_note_are_kept(inspection, hinge, sam):
    check = find(inspection, hinge, sam, "hinge-stiff", readings=PLAY, note="  creaks ")
    check.refresh_from_db()
    assert check.outcome == Outcome.FINDINGS
    assert check.note == "creaks"
    assert [(row.measure.code, row.value) for row in check.readings.all()] == [
        ("hinge-play", Decimal("0.2"))
    ]
    assert [(row.fault.code, row.judgement) for row in check.findings.all()] == [
        ("hinge-loose", "watch"),
        ("hinge-stiff", "watch"),
    ]


def test_a_finding_keeps_the_rule_that_judged_it(inspection, hinge, sam):
    finding = find(inspection, hinge, sam, readings=PLAY).findings.get()
    assert finding.rule
    assert finding.rule.key == "play-old"
    assert finding.rule_judgement == finding.judgement == "watch"
    assert finding.override_reason == ""
    assert finding.by == sam


def test_judged_otherwise_both_judgements_and_the_reason_are_kept(inspection, hinge, sam):
    check = record_check(
        inspection,
        hinge,
        by=sam,
        base_version=0,
        outcome=Outcome.FINDINGS,
        readings=PLAY,
        faults=[FaultInput("hinge-loose", Judgement.UNSAFE, "clicks under load", observed=False)],
    )
    finding = check.findings.get()
    assert (finding.rule_judgement, finding.judgement) == ("watch", "unsafe")
    assert finding.override_reason == "clicks under load"
    assert finding.rule
    assert finding.rule.key == "play-old"


def test_judged_otherwise_without_a_reason_nothing_is_kept(inspection, hinge, sam):
    with pytest.raises(EntryError, match="give the reason"):
        record_check(
            inspection,
            hinge,
            by=sam,
            base_version=0,
            outcome=Outcome.FINDINGS,
            faults=[FaultInput("hinge-crack", Judgement.WATCH)],
        )
    assert not Check.objects.exists()


def test_the_age_and_use_of_this_bike_count(aged, points, sam):
    judgements = []
    for bike in (aged(3), aged(10), aged(0, use="hard")):
        walk = InspectionFactory(bike=bike)
        judgements.append(find(walk, points[1], sam, readings=PLAY).findings.get().judgement)
    assert judgements == ["needs_work", "watch", "needs_work"]


def test_a_later_rule_leaves_a_kept_judgement_alone(inspection, hinge, sam):
    finding = find(inspection, hinge, sam, readings=PLAY).findings.get()
    JudgementRuleFactory(
        measure=hinge.measures.get(), fault=finding.fault, key="stricter", judgement="unsafe"
    )
    finding.refresh_from_db()
    assert finding.judgement == "watch"


def test_could_not_test_keeps_the_reason(inspection, hinge, sam):
    check = record_check(
        inspection,
        hinge,
        by=sam,
        base_version=0,
        outcome=Outcome.NOT_TESTED,
        not_tested_reason=" seized ",
    )
    assert (check.outcome, check.not_tested_reason) == (Outcome.NOT_TESTED, "seized")


def test_recorded_anew_what_is_gone_is_gone_and_what_stays_stays(inspection, hinge, sam, mo):
    first = find(inspection, hinge, sam, "hinge-stiff", "hinge-crack", readings=PLAY)
    kept = first.findings.get(fault__code="hinge-stiff")
    again = find(inspection, hinge, mo, "hinge-stiff", version=1)
    assert again.pk == first.pk
    assert (again.version, again.by) == (2, mo)
    assert [(row.pk, row.by) for row in again.findings.all()] == [(kept.pk, sam)]
    assert not again.readings.exists()


def test_found_sound_after_all_the_findings_and_the_reason_go(inspection, hinge, sam):
    find(inspection, hinge, sam, "hinge-crack")
    check = record_sound(inspection, hinge, by=sam, base_version=1)
    assert (check.outcome, check.version) == (Outcome.SOUND, 2)
    assert not Finding.objects.exists()


class TestTwoPeople:
    """Nobody overwrites what somebody else has saved."""

    def test_who_comes_second_is_told_what_stands(self, inspection, hinge, sam, mo):
        first = find(inspection, hinge, sam, "hinge-stiff", note="by Sam")
        with pytest.raises(StaleCheckError, match="Sam Hollis has saved") as stale:
            find(inspection, hinge, mo, "hinge-crack", note="by Mo")
        assert stale.value.check == first
        first.refresh_from_db()
        assert (first.note, first.by, first.version) == ("by Sam", sam, 1)
        assert [row.fault.code for row in first.findings.all()] == ["hinge-stiff"]

    def test_on_top_of_what_stands_they_may_save(self, inspection, hinge, sam, mo):
        find(inspection, hinge, sam, "hinge-stiff")
        check = find(inspection, hinge, mo, "hinge-crack", version=1)
        assert [row.fault.code for row in check.findings.all()] == ["hinge-crack"]

    def test_an_older_version_is_refused(self, inspection, hinge, sam, mo):
        find(inspection, hinge, sam, "hinge-stiff")
        find(inspection, hinge, mo, "hinge-crack", version=1)
        with pytest.raises(StaleCheckError):
            find(inspection, hinge, sam, "hinge-stiff", version=1)

    def test_a_double_tap_is_no_conflict(self, inspection, hinge, sam):
        once = record_sound(inspection, hinge, by=sam, base_version=0)
        twice = record_sound(inspection, hinge, by=sam, base_version=0)
        assert twice.pk == once.pk
        assert twice.version == 1

    def test_the_same_finding_twice_is_no_conflict(self, inspection, hinge, sam, mo):
        find(inspection, hinge, sam, "hinge-stiff", readings=PLAY, note="n")
        assert find(inspection, hinge, mo, "hinge-stiff", readings=PLAY, note="n").version == 1

    @pytest.mark.parametrize(
        "other", [{"note": "other"}, {"readings": {"hinge-play": Decimal("0.21")}}]
    )
    def test_a_small_difference_is_one(self, inspection, hinge, sam, mo, other):
        find(inspection, hinge, sam, "hinge-stiff", readings=PLAY, note="n")
        with pytest.raises(StaleCheckError):
            find(inspection, hinge, mo, "hinge-stiff", **({"readings": PLAY, "note": "n"} | other))

    def test_other_checkpoints_do_not_get_in_the_way(self, inspection, points, sam, mo):
        record_sound(inspection, points[0], by=sam, base_version=0)
        record_sound(inspection, points[2], by=mo, base_version=0)
        assert Check.objects.count() == 2


class TestPhotos:
    """Photos taken with the finding."""

    def test_they_are_kept_with_it(self, inspection, hinge, sam):
        photos = [SimpleUploadedFile(f"{n}.jpg", jpeg()) for n in range(2)]
        check = find(inspection, hinge, sam, "hinge-crack", photos=photos)
        assert check.photos.count() == 2
        assert all(photo.by == sam for photo in check.photos.all())

    def test_a_bad_one_keeps_nothing_at_all(self, inspection, hinge, sam, settings):
        photos = [
            SimpleUploadedFile("good.jpg", jpeg()),
            SimpleUploadedFile("bad.jpg", b"not a photo"),
        ]
        with pytest.raises(PhotoError, match=r"bad\.jpg"):
            find(inspection, hinge, sam, "hinge-crack", photos=photos)
        assert not Check.objects.exists()
        assert not Photo.objects.exists()
        assert not list(settings.MEDIA_ROOT.rglob("*.jpg"))

    def test_a_refused_entry_leaves_no_files(self, inspection, hinge, sam, settings):
        with pytest.raises(EntryError):
            find(inspection, hinge, sam, photos=[SimpleUploadedFile("good.jpg", jpeg())])
        assert not list(settings.MEDIA_ROOT.rglob("*.jpg"))

    def test_saved_again_with_a_photo_it_is_not_taken_for_a_double_tap(
        self, inspection, hinge, sam, mo
    ):
        find(inspection, hinge, sam, "hinge-crack")
        with pytest.raises(StaleCheckError):
            find(
                inspection,
                hinge,
                mo,
                "hinge-crack",
                photos=[SimpleUploadedFile("more.jpg", jpeg())],
            )


def test_a_finished_inspection_is_not_changed(inspection, points, sam):
    finish_inspection(inspection, sam, rest_because="seller left")
    with pytest.raises(FinishedError, match="Reopen it"):
        record_sound(inspection, points[0], by=sam, base_version=1)


def test_a_checkpoint_that_is_not_on_this_bike_is_refused(inspection, sam):
    disc = CheckpointFactory(code="front-rotor", brakes=["disc"])
    with pytest.raises(EntryError, match="does not belong to the walk"):
        record_sound(inspection, disc, by=sam, base_version=0)


def test_recorded_once_it_may_be_changed_though_the_bike_turned_out_otherwise(
    inspection, hinge, sam
):
    record_sound(inspection, hinge, by=sam, base_version=0)
    inspection.bike.frame = "diamond"
    inspection.bike.save()
    assert find(inspection, hinge, sam, "hinge-crack", version=1).version == 2


def test_an_absurd_reading_leaves_nothing(inspection, hinge, sam):
    with pytest.raises(EntryError, match="can't be"):
        find(inspection, hinge, sam, readings={"hinge-play": Decimal(300)})
    assert not Check.objects.exists()
    assert not Reading.objects.exists()


def test_a_finding_that_stands_on_a_quote_stays_on_record(inspection, hinge, sam):
    priced_shop()
    finding = find(inspection, hinge, sam, "hinge-crack").findings.get()
    start_quote(inspection, sam)
    with pytest.raises(EntryError, match="already stands on a quote"):
        record_sound(inspection, hinge, by=sam, base_version=1)
    finding.refresh_from_db()
    assert finding.check_made.version == 1
    check = record_check(
        inspection,
        hinge,
        by=sam,
        base_version=1,
        outcome=Outcome.SOUND,
        faults=[FaultInput("hinge-crack", Judgement.SOUND, "a scratch in the paint")],
    )
    assert check.findings.get() == finding
    assert check.outcome == Outcome.SOUND
