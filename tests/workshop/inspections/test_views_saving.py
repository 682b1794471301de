"""Saving what was found, two people at one checkpoint, and the rules speaking meanwhile."""

import pytest
from django.utils import timezone

from tests.asking import text_of
from tests.factories.inspections import CheckFactory
from tests.workshop.inspections.asking import HTMX, at
from workshop.inspections.models import Check, Outcome

pytestmark = pytest.mark.django_db


class TestSaving:
    """Recording what was found, without any script."""

    def test_sound_is_one_tap_and_leads_on(self, sams, inspection, sam):
        answer = sams.post(at(inspection, "front-hub", "sound/"), {"version": 0})
        assert answer.url == f"{at(inspection, 'main-hinge')}?last=front-hub"
        check = Check.objects.get()
        assert (check.outcome, check.by) == (Outcome.SOUND, sam)
        assert "Saved: Front hub" in text_of(sams.get(answer.url))

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
        assert "Deal-breaker at Main frame hinge: Crack at the weld." in text_of(answer)

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
        page = text_of(answer)
        assert answer.status_code == 422
        assert "give the reason" in page
        assert "long story" in page
        assert 'value="hinge-crack" checked' in page
        assert not Check.objects.exists()

    def test_sound_against_a_reading_is_refused_with_the_way_out(self, sams, inspection):
        data = {"version": 0, "reading-hinge-play": "0.2", "note": "felt fine"}
        answer = sams.post(at(inspection, "main-hinge", "sound/"), data)
        page = text_of(answer)
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
            assert words in text_of(answer)
            assert "keep me" in text_of(answer)
            assert "<b>x</b>" not in text_of(answer)
        assert not Check.objects.exists()

    def test_nothing_entered_is_refused(self, sams, inspection):
        answer = sams.post(at(inspection, "main-hinge"), {"version": 0})
        assert "Nothing is entered yet" in text_of(answer)

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
        assert "Say why it could not be tested" in text_of(answer)

    def test_the_last_one_leads_to_the_overview(self, sams, inspection, points):
        for point in points[:3]:
            CheckFactory(inspection=inspection, checkpoint=point)
        answer = sams.post(at(inspection, "rear-hub", "sound/"), {"version": 0})
        assert answer.url == at(inspection)

    def test_a_finished_inspection_is_left_alone(self, sams, inspection, points):
        sams.post(at(inspection, "finish"), {"rest_because": "x"})
        answer = sams.post(at(inspection, "chain"), {"version": 1, "faults": "chain-worn"})
        assert answer.url == at(inspection)
        assert "This inspection is finished" in text_of(sams.get(answer.url))
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
        page = text_of(stale)
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
        assert 'name="version" value="1"' in text_of(stale)
        data = {"version": 1, "faults": "hinge-crack", "note": "Mo's note"}
        assert mos.post(at(inspection, "main-hinge"), data).status_code == 302
        check = Check.objects.get()
        assert (check.note, check.by, check.version) == ("Mo's note", mo, 2)

    def test_or_theirs_is_kept(self, stale, inspection):
        assert f'href="{at(inspection, "walk")}"' in text_of(stale)

    def test_a_double_tap_is_no_conflict(self, sams, inspection):
        for _ in range(2):
            answer = sams.post(at(inspection, "chain", "sound/"), {"version": 0})
            assert answer.status_code == 302
        assert Check.objects.get().version == 1


class TestJudge:
    """What the rules say while a reading is typed."""

    def ask(self, browser, inspection, **data):
        return text_of(
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


class TestTakingBack:
    """Letting a checkpoint count as not looked at after all."""

    def test_it_is_offered_only_where_something_is_recorded(self, sams, inspection):
        assert "Take it back" not in text_of(sams.get(at(inspection, "front-hub")))
        sams.post(at(inspection, "front-hub", "sound/"), {"version": 0})
        assert "Take it back" in text_of(sams.get(at(inspection, "front-hub")))

    def test_the_checkpoint_is_shown_again_as_not_looked_at(self, sams, inspection):
        sams.post(at(inspection, "front-hub", "sound/"), {"version": 0})
        answer = sams.post(at(inspection, "front-hub", "take-back/"), {"version": 1}, follow=True)
        assert answer.redirect_chain[-1][0] == at(inspection, "front-hub")
        assert "Front hub: taken back, not looked at yet." in text_of(answer)
        assert not Check.objects.exists()

    def test_by_htmx_the_browser_is_sent_to_the_checkpoint(self, sams, inspection):
        answer = sams.post(at(inspection, "front-hub", "take-back/"), headers=HTMX)
        assert answer.headers["HX-Redirect"] == at(inspection, "front-hub")

    @pytest.mark.parametrize("version", ["", "0", "x", "²"])
    def test_what_was_not_seen_is_not_taken_back(self, sams, mos, inspection, version):
        mos.post(at(inspection, "front-hub", "sound/"), {"version": 0})
        address = at(inspection, "front-hub", "take-back/")
        answer = sams.post(address, {"version": version}, follow=True)
        assert "Look at it before you take it back." in text_of(answer)
        assert Check.objects.exists()

    def test_a_finished_walk_says_so(self, sams, inspection, points, sam):
        for point in points:
            CheckFactory(inspection=inspection, checkpoint=point, by=sam)
        sams.post(at(inspection, more="finish/"))
        address = at(inspection, "front-hub", "take-back/")
        assert "This inspection is finished." in text_of(sams.post(address, follow=True))
        assert Check.objects.count() == len(points)
