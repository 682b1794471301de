"""The pages of the walk: start, overview, checkpoint, end."""

import pytest

from tests.asking import text_of
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
)
from tests.factories.people import UserFactory
from tests.workshop.inspections.asking import HTMX, at, found_at_random_place
from workshop.bikes.models import Stage
from workshop.inspections.models import Check, Inspection, Outcome

pytestmark = pytest.mark.django_db


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
        page = text_of(sams.get(at(inspection)))
        for point in points:
            assert point.name in page
            assert f'href="{at(inspection, point.code)}"' in page
        assert "1 of 4" in page
        assert "Sam Hollis" in page
        assert "Next: Main frame hinge" in page
        assert f"Judged as made in {inspection.bike.maker_year}" in page

    def test_it_says_that_the_age_is_not_known(self, sams, points):
        inspection = InspectionFactory(bike=BikeFactory(maker_year=None))
        page = text_of(sams.get(at(inspection)))
        assert "Maker’s year not known" in page
        assert "judged as the strictest age would be" in page

    def test_deal_breakers_stand_at_the_top(self, sams, inspection, hinge):
        fault = hinge.faults.get(code="hinge-crack")
        FindingFactory(check_made__inspection=inspection, fault=fault)
        page = text_of(sams.get(at(inspection)))
        assert "A deal-breaker" in page
        assert page.index("A deal-breaker") < page.index('id="walk-list"')

    def test_it_renews_itself_only_when_something_is_new(self, sams, inspection, points):
        page = sams.get(at(inspection))
        state = page.context["walk"].state
        assert f'hx-get="{at(inspection)}?state={state}"' in text_of(page)
        again = sams.get(at(inspection), {"state": state}, headers=HTMX)
        assert again.status_code == 204
        CheckFactory(inspection=inspection, checkpoint=points[0])
        renewed = sams.get(at(inspection), {"state": state}, headers=HTMX)
        assert renewed.status_code == 200
        assert "1 of 4" in text_of(renewed)

    def test_a_finished_one_renews_itself_no_more(self, sams, inspection, sam):
        sams.post(at(inspection, "finish"), {"rest_because": "seller left"})
        page = text_of(sams.get(at(inspection)))
        assert 'id="walk-poll"' not in page
        assert "Reopen the inspection" in page
        assert "seller left" in page

    def test_the_accountant_may_look_and_is_led_nowhere_closed(self, client, inspection, points):
        client.force_login(UserFactory(accountant=True))
        page = text_of(client.get(at(inspection)))
        assert "Front hub" in page
        assert at(inspection, "front-hub") not in page
        assert at(inspection, "finish") not in page
        assert client.get(at(inspection, "front-hub")).status_code == 403

    def test_with_all_done_it_offers_to_finish(self, sams, inspection, points):
        for point in points:
            CheckFactory(inspection=inspection, checkpoint=point)
        page = text_of(sams.get(at(inspection)))
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
        page = text_of(sams.get(at(inspection, "main-hinge")))
        for words in (
            "2 of 4",
            "Hold it and move it.",
            "A loose latch feels like a worn pin.",
            "Clamp the rear half.",
            "Mind your fingers.",
        ):
            assert words in page

    def test_readings_ask_for_their_unit_and_a_decimal_keyboard(self, sams, inspection):
        page = text_of(sams.get(at(inspection, "main-hinge")))
        assert 'inputmode="decimal"' in page
        assert ">mm<" in page
        assert f'hx-get="{at(inspection, "main-hinge", "judge/")}"' in page

    def test_faults_carry_what_the_rules_give_for_this_bike(self, sams, inspection):
        page = text_of(sams.get(at(inspection, "main-hinge")))
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
        page = text_of(sams.get(at(inspection, "main-hinge")))
        assert 'name="version" value="1"' in page
        assert 'value="0.2"' in page
        assert "> creaks</textarea>" in page
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


class TestFinish:
    """The end of the walk."""

    def test_open_checkpoints_are_listed_and_it_stays_open(self, sams, inspection, points):
        CheckFactory(inspection=inspection, checkpoint=points[0])
        answer = sams.post(at(inspection, "finish"))
        page = text_of(answer)
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
        assert "This field is required" in text_of(answer)

    def test_finished_twice_it_is_said(self, sams, inspection):
        sams.post(at(inspection, "finish"), {"rest_because": "x"})
        answer = sams.post(at(inspection, "finish"), {"rest_because": "x"}, follow=True)
        assert "This inspection is finished" in text_of(answer)

    def test_what_was_found_can_still_be_read(self, sams, inspection, hinge):
        data = {"version": 0, "faults": "hinge-crack", "reading-hinge-play": "0.2"}
        sams.post(at(inspection, "main-hinge"), data)
        sams.post(at(inspection, "finish"), {"rest_because": "seller left"})
        page = text_of(sams.get(at(inspection, "main-hinge")))
        assert "Crack at the weld" in page
        assert "0.2 mm" in page
        assert "<textarea" not in page
        assert "seller left" in text_of(sams.get(at(inspection, "chain")))

    def test_it_may_be_reopened(self, sams, inspection):
        sams.post(at(inspection, "finish"), {"rest_because": "x"})
        assert sams.post(at(inspection, "reopen")).url == at(inspection)
        inspection.refresh_from_db()
        assert inspection.finished_at is None

    def test_not_where_there_is_a_newer_one(self, sams, inspection):
        sams.post(at(inspection, "finish"), {"rest_because": "x"})
        sams.post(f"/inspections/bikes/{inspection.bike_id}/start/")
        answer = sams.post(at(inspection, "reopen"), follow=True)
        assert "inspected again since" in text_of(answer)
