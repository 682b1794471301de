"""The pages of the walk."""

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone

from tests.factories.bikes import BikeFactory
from tests.factories.inspections import (
    CheckFactory,
    CheckpointFactory,
    FaultFactory,
    FindingFactory,
    InspectionFactory,
    JudgementRuleFactory,
    MeasureFactory,
    PhotoFactory,
    ReadingFactory,
    jpeg,
)
from tests.factories.people import UserFactory
from workshop.bikes.models import Stage
from workshop.inspections.models import Check, Inspection, Outcome, Photo

pytestmark = pytest.mark.django_db

HTMX = {"HX-Request": "true"}


@pytest.fixture
def sams(client, sam):
    """Sam's browser."""
    client.force_login(sam)
    return client


@pytest.fixture
def mos(mo):
    """Mo's browser."""
    from django.test import Client

    browser = Client()
    browser.force_login(mo)
    return browser


def at(inspection, code="", more=""):
    return f"/inspections/{inspection.pk}/{f'{code}/' if code else ''}{more}"


def text(response):
    return response.content.decode()


class TestStart:
    """Starting from a bike."""

    def test_it_leads_to_the_overview(self, sams, bike, points):
        response = sams.post(f"/inspections/bikes/{bike.pk}/start/")
        inspection = Inspection.objects.get()
        assert response.url == at(inspection)
        bike.refresh_from_db()
        assert bike.stage == Stage.INSPECTING

    def test_it_is_never_started_by_looking(self, sams, bike):
        assert sams.get(f"/inspections/bikes/{bike.pk}/start/").status_code in {403, 405}
        assert not Inspection.objects.exists()

    def test_an_unknown_bike_is_not_found(self, sams):
        assert sams.post("/inspections/bikes/4711/start/").status_code == 404


class TestOverview:
    """The whole walk on a page."""

    def test_it_shows_every_checkpoint_and_who_looked(self, sams, inspection, points):
        CheckFactory(inspection=inspection, checkpoint=points[0])
        page = text(sams.get(at(inspection)))
        for point in points:
            assert point.name in page
            assert f'href="{at(inspection, point.code)}"' in page
        assert "1 of 4" in page
        assert "Sam Hollis" in page
        assert "Next: Main frame hinge" in page
        assert f"Judged as made in {inspection.bike.maker_year}" in page

    def test_it_says_that_the_age_is_not_known(self, sams, points):
        inspection = InspectionFactory(bike=BikeFactory(maker_year=None))
        page = text(sams.get(at(inspection)))
        assert "Maker’s year not known" in page
        assert "judged as the strictest age would be" in page

    def test_deal_breakers_stand_at_the_top(self, sams, inspection, hinge):
        fault = hinge.faults.get(code="hinge-crack")
        FindingFactory(check_made__inspection=inspection, fault=fault)
        page = text(sams.get(at(inspection)))
        assert "A deal-breaker" in page
        assert page.index("A deal-breaker") < page.index('id="walk-list"')

    def test_it_renews_itself_only_when_something_is_new(self, sams, inspection, points):
        page = sams.get(at(inspection))
        state = page.context["walk"].state
        assert f'hx-get="{at(inspection)}?state={state}"' in text(page)
        again = sams.get(at(inspection), {"state": state}, headers=HTMX)
        assert again.status_code == 204
        CheckFactory(inspection=inspection, checkpoint=points[0])
        renewed = sams.get(at(inspection), {"state": state}, headers=HTMX)
        assert renewed.status_code == 200
        assert "1 of 4" in text(renewed)

    def test_a_finished_one_renews_itself_no_more(self, sams, inspection, sam):
        sams.post(at(inspection, "finish"), {"rest_because": "seller left"})
        page = text(sams.get(at(inspection)))
        assert 'id="walk-poll"' not in page
        assert "Reopen the inspection" in page
        assert "seller left" in page

    def test_the_accountant_may_look_and_is_led_nowhere_closed(self, client, inspection, points):
        client.force_login(UserFactory(accountant=True))
        page = text(client.get(at(inspection)))
        assert "Front hub" in page
        assert at(inspection, "front-hub") not in page
        assert at(inspection, "finish") not in page
        assert client.get(at(inspection, "front-hub")).status_code == 403

    def test_with_all_done_it_offers_to_finish(self, sams, inspection, points):
        for point in points:
            CheckFactory(inspection=inspection, checkpoint=point)
        page = text(sams.get(at(inspection)))
        assert "Finish the inspection" in page
        assert "checkpoints open" not in page

    @pytest.mark.parametrize("count", [2, 12])
    def test_the_number_of_queries_is_constant(
        self, sams, inspection, sam, count, django_assert_num_queries
    ):
        for _ in range(count):
            found_at_random_place(inspection)
        sams.get(at(inspection))
        with django_assert_num_queries(8):
            assert sams.get(at(inspection)).status_code == 200


def found_at_random_place(inspection):
    """Add a checkpoint with two findings, a reading and a photo."""
    point = CheckpointFactory()
    check = CheckFactory(
        inspection=inspection, checkpoint=point, outcome=Outcome.FINDINGS, by=UserFactory()
    )
    for _ in range(2):
        FindingFactory(check_made=check, fault=FaultFactory(checkpoint=point))
    ReadingFactory(check_made=check, measure__checkpoint=point)
    PhotoFactory(check_made=check)


class TestWalk:
    """Going on."""

    def test_it_leads_to_the_next_checkpoint_of_this_person(
        self, sams, mos, inspection, points, mo, sam
    ):
        assert sams.get(at(inspection, "walk")).url == at(inspection, "front-hub")
        CheckFactory(inspection=inspection, checkpoint=points[0], by=sam)
        CheckFactory(inspection=inspection, checkpoint=points[2], by=mo)
        assert sams.get(at(inspection, "walk")).url == at(inspection, "main-hinge")
        assert mos.get(at(inspection, "walk")).url == at(inspection, "rear-hub")

    def test_with_all_done_it_leads_to_the_overview(self, sams, inspection, points):
        for point in points:
            CheckFactory(inspection=inspection, checkpoint=point)
        assert sams.get(at(inspection, "walk")).url == at(inspection)

    def test_two_people_walk_their_halves_without_meeting(self, sams, mos, inspection, points):
        """One begins in front, one in the middle; each is led on in their own half."""
        place = {sams: "front-hub", mos: "chain"}
        seen = []
        for browser in (sams, mos, sams, mos):
            code = place[browser]
            answer = browser.post(at(inspection, code, "sound/"), {"version": 0})
            seen.append(code)
            place[browser] = answer.url.removeprefix(at(inspection)).split("/")[0]
        assert seen == ["front-hub", "chain", "main-hinge", "rear-hub"]
        assert Check.objects.count() == 4
        assert sams.get(at(inspection, "walk")).url == at(inspection)


class TestCheckpoint:
    """The page of a checkpoint."""

    def test_it_says_how_to_test_and_what_fools_it(self, sams, inspection, hinge):
        hinge.how_to_isolate = "Clamp the rear half."
        hinge.caution = "Mind your fingers."
        hinge.save()
        page = text(sams.get(at(inspection, "main-hinge")))
        for words in (
            "2 of 4",
            "Hold it and move it.",
            "A loose latch feels like a worn pin.",
            "Clamp the rear half.",
            "Mind your fingers.",
        ):
            assert words in page

    def test_readings_ask_for_their_unit_and_a_decimal_keyboard(self, sams, inspection):
        page = text(sams.get(at(inspection, "main-hinge")))
        assert 'inputmode="decimal"' in page
        assert ">mm<" in page
        assert f'hx-get="{at(inspection, "main-hinge", "judge/")}"' in page

    def test_faults_carry_what_the_rules_give_for_this_bike(self, sams, inspection):
        page = text(sams.get(at(inspection, "main-hinge")))
        assert page.index("Hinge has play") < page.index("Hinge too stiff")
        assert "unsafe · <strong>deal-breaker</strong>" in page

    def test_a_checkpoint_of_another_kind_of_bike_is_not_found(self, sams, inspection):
        CheckpointFactory(code="front-rotor", brakes=["disc"])
        for more in ("", "sound/", "photos/"):
            path = at(inspection, "front-rotor", more)
            answer = sams.post(path, {"version": 0})
            assert answer.status_code == 404
        assert sams.get(at(inspection, "front-rotor")).status_code == 404

    def test_it_is_filled_in_with_what_was_recorded(self, sams, inspection, hinge):
        sams.post(
            at(inspection, "main-hinge"),
            {"version": 0, "reading-hinge-play": "0,2", "note": "creaks", "faults": "hinge-stiff"},
        )
        page = text(sams.get(at(inspection, "main-hinge")))
        assert 'name="version" value="1"' in page
        assert 'value="0.2"' in page
        assert ">\ncreaks</textarea>" in page
        assert 'value="hinge-stiff" checked' in page
        assert 'value="hinge-loose" checked disabled' in page

    @pytest.mark.parametrize("count", [1, 9])
    def test_the_number_of_queries_is_constant(
        self, sams, inspection, hinge, count, django_assert_num_queries
    ):
        check = CheckFactory(inspection=inspection, checkpoint=hinge, outcome=Outcome.FINDINGS)
        for _ in range(count):
            found_at_random_place(inspection)
            fault = FaultFactory(checkpoint=hinge)
            JudgementRuleFactory(fault=fault)
            FindingFactory(check_made=check, fault=fault)
            measure = MeasureFactory(checkpoint=hinge)
            ReadingFactory(check_made=check, measure=measure)
            PhotoFactory(check_made=check)
        sams.get(at(inspection, "main-hinge"))
        with django_assert_num_queries(14):
            assert sams.get(at(inspection, "main-hinge")).status_code == 200


class TestSaving:
    """Recording what was found, without any script."""

    def test_sound_is_one_tap_and_leads_on(self, sams, inspection, sam):
        answer = sams.post(at(inspection, "front-hub", "sound/"), {"version": 0})
        assert answer.url == f"{at(inspection, 'main-hinge')}?last=front-hub"
        check = Check.objects.get()
        assert (check.outcome, check.by) == (Outcome.SOUND, sam)
        assert "Saved: Front hub" in text(sams.get(answer.url))

    def test_by_htmx_the_browser_is_sent_on(self, sams, inspection):
        answer = sams.post(at(inspection, "front-hub", "sound/"), {"version": 0}, headers=HTMX)
        assert answer.headers["HX-Redirect"] == f"{at(inspection, 'main-hinge')}?last=front-hub"

    def test_sound_is_recorded_by_posting_only(self, sams, inspection):
        assert sams.get(at(inspection, "front-hub", "sound/")).status_code in {403, 405}

    def test_a_reading_makes_the_finding(self, sams, inspection):
        sams.post(at(inspection, "main-hinge"), {"version": 0, "reading-hinge-play": "0,4 mm"})
        finding = Check.objects.get().findings.get()
        assert (finding.fault.code, finding.judgement) == ("hinge-loose", "unsafe")

    def test_several_faults_at_once(self, sams, inspection):
        data = {"version": 0, "faults": ["hinge-stiff", "hinge-crack"], "note": "cracked"}
        sams.post(at(inspection, "main-hinge"), data)
        check = Check.objects.get()
        assert check.findings.count() == 2
        assert check.note == "cracked"

    def test_a_deal_breaker_is_said_at_once(self, sams, inspection):
        data = {"version": 0, "faults": "hinge-crack"}
        answer = sams.post(at(inspection, "main-hinge"), data, follow=True)
        assert "Deal-breaker at Main frame hinge: Crack at the weld." in text(answer)

    def test_judged_otherwise_with_a_reason(self, sams, inspection):
        data = {
            "version": 0,
            "faults": "hinge-crack",
            "judge-hinge-crack": "watch",
            "why-hinge-crack": "a scratch in the paint",
        }
        sams.post(at(inspection, "main-hinge"), data)
        finding = Check.objects.get().findings.get()
        assert (finding.judgement, finding.rule_judgement) == ("watch", "unsafe")
        assert finding.override_reason == "a scratch in the paint"

    def test_judged_otherwise_without_a_reason_is_refused_and_nothing_is_lost(
        self, sams, inspection
    ):
        data = {
            "version": 0,
            "faults": "hinge-crack",
            "judge-hinge-crack": "watch",
            "note": "long story",
        }
        answer = sams.post(at(inspection, "main-hinge"), data)
        page = text(answer)
        assert answer.status_code == 422
        assert "give the reason" in page
        assert "long story" in page
        assert 'value="hinge-crack" checked' in page
        assert not Check.objects.exists()

    def test_sound_against_a_reading_is_refused_with_the_way_out(self, sams, inspection):
        data = {"version": 0, "reading-hinge-play": "0.2", "note": "felt fine"}
        answer = sams.post(at(inspection, "main-hinge", "sound/"), data)
        page = text(answer)
        assert answer.status_code == 422
        assert "Not saved as sound. Play 0.2 mm" in page
        assert "judge it otherwise and give the reason" in page
        assert "felt fine" in page
        assert 'value="hinge-loose" checked disabled' in page
        assert not Check.objects.exists()

    def test_sound_against_a_reading_for_a_reason(self, sams, inspection):
        data = {
            "version": 0,
            "reading-hinge-play": "0.2",
            "judge-hinge-loose": "sound",
            "why-hinge-loose": "the gauge slipped",
        }
        sams.post(at(inspection, "main-hinge", "sound/"), data)
        check = Check.objects.get()
        assert check.outcome == Outcome.SOUND
        assert check.findings.get().override_reason == "the gauge slipped"

    @pytest.mark.parametrize(
        ("typed", "words"),
        [
            ("-1", "below zero"),
            ("300", "cannot be right here"),
            ("2 bar", "wrong unit"),
            ("<b>x</b>", "is not a reading"),
        ],
    )
    def test_a_bad_reading_is_refused_with_what_was_typed(self, sams, inspection, typed, words):
        data = {"version": 0, "reading-hinge-play": typed, "note": "keep me"}
        for more in ("", "sound/"):
            answer = sams.post(at(inspection, "main-hinge", more), data)
            assert answer.status_code == 422
            assert words in text(answer)
            assert "keep me" in text(answer)
            assert "<b>x</b>" not in text(answer)
        assert not Check.objects.exists()

    def test_nothing_entered_is_refused(self, sams, inspection):
        answer = sams.post(at(inspection, "main-hinge"), {"version": 0})
        assert "Nothing is entered yet" in text(answer)

    def test_could_not_test_by_one_tap_or_in_words(self, sams, inspection):
        sams.post(at(inspection, "front-hub"), {"version": 0, "quick_reason": "It is seized"})
        sams.post(
            at(inspection, "chain"),
            {"version": 0, "not_tested": "1", "not_tested_reason": "no gauge"},
        )
        checks = Check.objects.filter(outcome=Outcome.NOT_TESTED)
        assert [check.not_tested_reason for check in checks] == ["It is seized", "no gauge"]

    def test_could_not_test_without_a_reason_is_refused(self, sams, inspection):
        answer = sams.post(at(inspection, "chain"), {"version": 0, "not_tested": "1"})
        assert answer.status_code == 422
        assert "Say why it could not be tested" in text(answer)

    def test_the_last_one_leads_to_the_overview(self, sams, inspection, points):
        for point in points[:3]:
            CheckFactory(inspection=inspection, checkpoint=point)
        answer = sams.post(at(inspection, "rear-hub", "sound/"), {"version": 0})
        assert answer.url == at(inspection)

    def test_a_finished_inspection_is_left_alone(self, sams, inspection, points):
        sams.post(at(inspection, "finish"), {"rest_because": "x"})
        answer = sams.post(at(inspection, "chain"), {"version": 1, "faults": "chain-worn"})
        assert answer.url == at(inspection)
        assert "This inspection is finished" in text(sams.get(answer.url))
        assert Check.objects.get(checkpoint__code="chain").outcome == Outcome.NOT_TESTED


class TestStale:
    """Two people at the same checkpoint."""

    @pytest.fixture
    def stale(self, sams, mos, inspection):
        sams.post(
            at(inspection, "main-hinge"),
            {
                "version": 0,
                "reading-hinge-play": "0.2",
                "faults": "hinge-stiff",
                "note": "Sam's note",
            },
        )
        data = {"version": 0, "faults": "hinge-crack", "note": "Mo's note"}
        return mos.post(at(inspection, "main-hinge"), data)

    def test_what_the_other_saved_is_shown_beside_what_was_typed(self, stale):
        page = text(stale)
        assert stale.status_code == 422
        assert "Sam Hollis saved this checkpoint" in page
        assert "Sam&#x27;s note" in page
        assert "0.2 mm" in page
        assert "Hinge too stiff" in page
        assert "Mo&#x27;s note</textarea>" in page
        assert 'value="hinge-crack" checked' in page

    def test_nothing_was_overwritten(self, stale):
        check = Check.objects.get()
        assert check.note == "Sam's note"
        assert check.version == 1

    def test_saving_again_is_the_choice_to_replace(self, stale, mos, inspection, mo):
        assert 'name="version" value="1"' in text(stale)
        data = {"version": 1, "faults": "hinge-crack", "note": "Mo's note"}
        assert mos.post(at(inspection, "main-hinge"), data).status_code == 302
        check = Check.objects.get()
        assert (check.note, check.by, check.version) == ("Mo's note", mo, 2)

    def test_or_theirs_is_kept(self, stale, inspection):
        assert f'href="{at(inspection, "walk")}"' in text(stale)

    def test_a_double_tap_is_no_conflict(self, sams, inspection):
        for _ in range(2):
            answer = sams.post(at(inspection, "chain", "sound/"), {"version": 0})
            assert answer.status_code == 302
        assert Check.objects.get().version == 1


class TestJudge:
    """What the rules say while a reading is typed."""

    def ask(self, browser, inspection, **data):
        return text(
            browser.get(
                at(inspection, "main-hinge", "judge/"), {"version": 0, **data}, headers=HTMX
            )
        )

    def test_it_answers_with_judgement_and_fault(self, sams, inspection):
        part = self.ask(sams, inspection, **{"reading-hinge-play": "0,2"})
        assert "watch" in part
        assert "Play 0.2 mm: Hinge has play" in part
        assert "by the reading" in part
        assert "<html" not in part

    def test_what_is_ticked_stays_ticked(self, sams, inspection):
        data = {"reading-hinge-play": "0.01", "faults": ["hinge-crack"]}
        part = self.ask(sams, inspection, **data)
        assert 'value="hinge-crack" checked' in part
        assert "sound" in part

    def test_a_bad_reading_is_said_there(self, sams, inspection):
        assert "is not a reading" in self.ask(sams, inspection, **{"reading-hinge-play": "x"})

    def test_a_reading_without_a_rule_asks_for_a_person(self, sams, inspection, hinge):
        hinge.rules.update(superseded_at=timezone.now())
        part = self.ask(sams, inspection, **{"reading-hinge-play": "0.2"})
        assert "no rule judges it" in part

    def test_nothing_is_saved(self, sams, inspection):
        self.ask(sams, inspection, **{"reading-hinge-play": "0.2"})
        assert not Check.objects.exists()


class TestPhotos:
    """Photos of a checkpoint."""

    def test_taken_with_the_finding(self, sams, inspection):
        photos = [SimpleUploadedFile(f"{n}.jpg", jpeg()) for n in range(2)]
        data = {"version": 0, "faults": "hinge-crack", "photos": photos}
        sams.post(at(inspection, "main-hinge"), data)
        assert Photo.objects.count() == 2

    @pytest.mark.parametrize("more", ["", "sound/"])
    def test_a_file_that_is_no_photo_is_said_and_what_was_typed_is_kept(
        self, sams, inspection, more, settings
    ):
        data = {
            "version": 0,
            "note": "a long note",
            "photos": [
                SimpleUploadedFile("good.jpg", jpeg()),
                SimpleUploadedFile("page.pdf", b"%PDF-1.4 not a photo"),
            ],
        }
        if not more:
            data["faults"] = "hinge-crack"
        answer = sams.post(at(inspection, "main-hinge", more), data)
        assert answer.status_code == 422
        assert "“page.pdf” is not a photo" in text(answer)
        assert "a long note" in text(answer)
        assert not Check.objects.exists()
        assert not list(settings.MEDIA_ROOT.rglob("*.jpg"))

    def test_forty_megabytes_are_too_many(self, sams, inspection):
        huge = SimpleUploadedFile("huge.jpg", jpeg() + bytes(40 * 1024 * 1024))
        answer = sams.post(
            at(inspection, "main-hinge", "sound/"), {"version": 0, "note": "kept", "photos": huge}
        )
        assert answer.status_code == 422
        assert "“huge.jpg” has 40 MB" in text(answer)
        assert "kept" in text(answer)
        assert not Check.objects.exists()

    @pytest.fixture
    def check(self, inspection, hinge):
        return CheckFactory(inspection=inspection, checkpoint=hinge)

    def test_added_afterwards(self, sams, inspection, check):
        path = at(inspection, "main-hinge", "photos/")
        answer = sams.post(path, {"photos": SimpleUploadedFile("a.jpg", jpeg())})
        assert answer.url == f"{at(inspection, 'main-hinge')}#photos"
        assert check.photos.count() == 1
        assert "photo 1" in text(sams.get(at(inspection, "main-hinge")))

    def test_added_in_place(self, sams, inspection, check):
        part = text(
            sams.post(
                at(inspection, "main-hinge", "photos/"),
                {"photos": SimpleUploadedFile("a.jpg", jpeg())},
                headers=HTMX,
            )
        )
        assert "/inspections/photos/" in part
        assert "<html" not in part

    def test_a_bad_one_added_afterwards_is_said(self, sams, inspection, check):
        bad = SimpleUploadedFile("a.gif.exe", b"MZ")
        path = at(inspection, "main-hinge", "photos/")
        part = text(sams.post(path, {"photos": bad}, headers=HTMX))
        assert "is not a photo" in part
        assert not check.photos.exists()

    def test_none_can_be_added_where_nothing_is_recorded(self, sams, inspection):
        path = at(inspection, "main-hinge", "photos/")
        answer = sams.post(path, {"photos": SimpleUploadedFile("a.jpg", jpeg())})
        assert answer.status_code == 404

    def test_one_is_sent_to_signed_in_people_and_kept_by_their_browser_only(
        self, sams, check, client
    ):
        photo = PhotoFactory(check_made=check)
        answer = sams.get(f"/inspections/photos/{photo.pk}/")
        assert answer.headers["Content-Type"] == "image/jpeg"
        assert "private" in answer.headers["Cache-Control"]
        assert b"".join(answer.streaming_content)[:2] == b"\xff\xd8"
        client.logout()
        assert client.get(f"/inspections/photos/{photo.pk}/").status_code == 302

    def test_one_whose_file_is_gone_is_not_found(self, sams, check):
        photo = PhotoFactory(check_made=check)
        photo.image.storage.delete(photo.image.name)
        assert sams.get(f"/inspections/photos/{photo.pk}/").status_code == 404

    def test_one_may_be_taken_away(self, sams, inspection, check):
        photo = PhotoFactory(check_made=check)
        answer = sams.post(f"/inspections/photos/{photo.pk}/remove/")
        assert answer.url == f"{at(inspection, 'main-hinge')}#photos"
        assert not Photo.objects.exists()

    def test_of_a_finished_inspection_none_is_added_or_taken(self, sams, inspection, check):
        photo = PhotoFactory(check_made=check)
        sams.post(at(inspection, "finish"), {"rest_because": "x"})
        sams.post(
            at(inspection, "main-hinge", "photos/"),
            {"photos": SimpleUploadedFile("a.jpg", jpeg())},
        )
        sams.post(f"/inspections/photos/{photo.pk}/remove/")
        assert Photo.objects.get() == photo


class TestFinish:
    """The end of the walk."""

    def test_open_checkpoints_are_listed_and_it_stays_open(self, sams, inspection, points):
        CheckFactory(inspection=inspection, checkpoint=points[0])
        answer = sams.post(at(inspection, "finish"))
        page = text(answer)
        assert answer.status_code == 422
        assert "3 checkpoints of 4 are still open" in page
        assert at(inspection, "chain") in page
        assert at(inspection, "front-hub") not in page
        inspection.refresh_from_db()
        assert inspection.finished_at is None

    def test_the_rest_is_left_for_a_reason(self, sams, inspection, points):
        answer = sams.post(at(inspection, "finish"), {"rest_because": "deal-breaker"})
        assert answer.url == f"/bikes/{inspection.bike_id}/"
        inspection.refresh_from_db()
        assert inspection.finished_at
        assert Check.objects.filter(not_tested_reason="deal-breaker").count() == 4

    def test_without_a_reason_it_is_asked_for(self, sams, inspection):
        answer = sams.post(at(inspection, "finish"), {"rest_because": " "})
        assert answer.status_code == 422
        assert "This field is required" in text(answer)

    def test_finished_twice_it_is_said(self, sams, inspection):
        sams.post(at(inspection, "finish"), {"rest_because": "x"})
        answer = sams.post(at(inspection, "finish"), {"rest_because": "x"}, follow=True)
        assert "This inspection is finished" in text(answer)

    def test_what_was_found_can_still_be_read(self, sams, inspection, hinge):
        data = {"version": 0, "faults": "hinge-crack", "reading-hinge-play": "0.2"}
        sams.post(at(inspection, "main-hinge"), data)
        sams.post(at(inspection, "finish"), {"rest_because": "seller left"})
        page = text(sams.get(at(inspection, "main-hinge")))
        assert "Crack at the weld" in page
        assert "0.2 mm" in page
        assert "<textarea" not in page
        assert "seller left" in text(sams.get(at(inspection, "chain")))

    def test_it_may_be_reopened(self, sams, inspection):
        sams.post(at(inspection, "finish"), {"rest_because": "x"})
        assert sams.post(at(inspection, "reopen")).url == at(inspection)
        inspection.refresh_from_db()
        assert inspection.finished_at is None

    def test_not_where_there_is_a_newer_one(self, sams, inspection):
        sams.post(at(inspection, "finish"), {"rest_because": "x"})
        sams.post(f"/inspections/bikes/{inspection.bike_id}/start/")
        answer = sams.post(at(inspection, "reopen"), follow=True)
        assert "inspected again since" in text(answer)
