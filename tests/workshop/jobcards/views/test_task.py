"""A task's page: what was read after the work, in either unit, judged as it is typed."""

from decimal import Decimal

import pytest
from django.urls import reverse

from tests.asking import queries_of
from tests.factories import jobcards as made
from tests.factories.inspections import JudgementRuleFactory, MeasureFactory
from tests.factories.people import UserFactory, sign_in
from workshop.core.judgement import Judgement
from workshop.jobcards.models import AfterReading, Task
from workshop.jobcards.reading_forms import at_the_end, torque_in
from workshop.jobcards.verbs.parts import draw_part
from workshop.jobcards.verbs.read import note_readings
from workshop.jobcards.verbs.times import start_time, stop_time


@pytest.fixture
def task(card):
    """The hub: 17 to 25 N·m."""
    return made.task_of(card, "hub")


@pytest.fixture
def measured():
    """The hub of a card whose fault was found by its play; up to 0.5 mm is sound."""
    inspection = made.inspected_bike()
    finding = made.found(inspection, "loose")
    measure = MeasureFactory.create(code="play", checkpoint=finding.fault.checkpoint)
    for low, high, judgement in ((0, "0.5", "sound"), ("0.5", None, "unsafe")):
        JudgementRuleFactory.create(
            checkpoint=finding.fault.checkpoint,
            measure=measure,
            fault=None if judgement == "sound" else finding.fault,
            at_least=low,
            below=high,
            judgement=judgement,
        )
    made.operation("hub")
    work = made.asked("hub", findings={"hub": finding})
    return made.task_of(made.a_card(work, inspection=inspection), "hub")


def url(task, name="task"):
    return reverse(f"jobcards:{name}", args=(task.card_id, task.pk))


def send(client, task, **data):
    return client.post(url(task), {"key": made.a_key(), "unit": "N·m"} | data)


def judge(client, task, **data):
    return client.get(url(task, "judge"), data).content.decode()


class TestTorque:
    def test_it_is_kept_and_judged(self, client, bench, task):
        answer = send(client, task, torque="20")
        assert answer.status_code == 302
        reading = AfterReading.objects.get()
        assert (reading.value, reading.unit, reading.judgement) == (20, "N·m", "sound")

    def test_it_is_read_in_inches_too(self, client, bench, task):
        send(client, task, torque="177", unit="lbf·in")
        assert AfterReading.objects.get().value == Decimal("20.0")

    def test_a_unit_behind_the_figure_goes_before_the_button(self, client, bench, task):
        send(client, task, torque="177 lbf·in", unit="N·m")
        assert AfterReading.objects.get().value == Decimal("20.0")

    def test_too_tight_is_said_at_once(self, client, bench, task):
        html = client.get(send(client, task, torque="40").url).content.decode()
        assert "too tight" in html
        assert "The bike can’t go out like this." in html

    @pytest.mark.parametrize("torque", ["abc", "0", "-5", "900", "5 mm"])
    def test_nonsense_is_refused_and_stays_in_the_field(self, client, bench, task, torque):
        answer = send(client, task, torque=torque)
        assert answer.status_code == 422
        assert f'value="{torque}"' in answer.content.decode()
        assert not AfterReading.objects.exists()

    def test_nothing_at_all_is_refused(self, client, bench, task):
        answer = send(client, task)
        assert answer.status_code == 422
        assert "There is no reading" in answer.content.decode()

    def test_the_wrenchs_whole_inches_reach_the_figure_as_it_is_shown(self):
        figure = (Decimal(8), Decimal(10))  # shown as 71–89 lbf·in; 89 of them are 10.06 N·m
        assert at_the_end(torque_in("89", "lbf·in"), figure) == 10
        assert at_the_end(torque_in("71", "lbf·in"), figure) == 8
        assert at_the_end(torque_in("90", "lbf·in"), figure) == Decimal("10.2")

    def test_the_figures_end_in_inches_is_sound(self, client, bench, task):
        Task.objects.filter(pk=task.pk).update(torque_low_nm=8, torque_high_nm=10)
        send(client, task, torque="89", unit="lbf·in")
        assert AfterReading.objects.get().judgement == Judgement.SOUND

    def test_sent_twice_it_is_kept_once(self, client, bench, task):
        for _ in range(2):
            send(client, task, torque="20", key="one")
        assert AfterReading.objects.count() == 1


class TestMaker:
    def test_its_figure_goes_before_ours(self, client, bench, task):
        send(
            client,
            task,
            torque="12",
            maker_low="100",
            maker_high="110",
            maker_unit="lbf·in",
            maker_source="on the cone",
        )
        task.refresh_from_db()
        assert (task.maker_low_nm, task.maker_high_nm) == (Decimal("11.3"), Decimal("12.4"))
        assert AfterReading.objects.get().judgement == Judgement.SOUND

    def test_it_must_say_where_it_is_from(self, client, bench, task):
        answer = send(client, task, torque="12", maker_low="11", maker_unit="N·m")
        assert answer.status_code == 422
        assert "Write where the maker says so" in answer.content.decode()
        assert not AfterReading.objects.exists()

    def test_a_source_without_a_figure_is_refused(self, client, bench, task):
        answer = send(client, task, maker_source="a manual")
        assert answer.status_code == 422

    def test_left_as_it_is_it_is_not_noted_again(self, client, bench, task):
        figure = {"maker_low": "11", "maker_unit": "N·m", "maker_source": "on the cone"}
        send(client, task, **figure)
        assert send(client, task, **figure).status_code == 422  # there is no reading


class TestMeasures:
    def test_they_are_judged_by_the_rules_of_the_walk(self, client, bench, measured):
        answer = send(client, measured, **{"reading-play": "0,2"})
        assert answer.status_code == 302
        assert AfterReading.objects.get().judgement == Judgement.SOUND
        html = client.get(send(client, measured, **{"reading-play": "0.9"}).url).content.decode()
        assert "The bike can’t go out like this." in html

    def test_what_is_typed_is_judged_live_and_not_kept(self, client, bench, measured):
        html = judge(client, measured, **{"reading-play": "0.9", "torque": "5"})
        assert "unsafe" in html
        assert "no figure to reach is known" in html
        assert not AfterReading.objects.exists()

    def test_what_cannot_be_read_says_so_live(self, client, bench, measured):
        assert "is not a reading" in judge(client, measured, **{"reading-play": "x"})

    def test_what_was_found_stands_beside(self, client, bench, measured):
        html = client.get(url(measured)).content.decode()
        assert "What it puts right" in html
        assert "Loose point" in html


class TestPage:
    def test_the_accountant_reads_only(self, client, task):
        sign_in(client, accountant=True)
        html = client.get(url(task)).content.decode()
        assert "Keep the readings" not in html
        assert send(client, task, torque="20").status_code == 403

    def test_a_task_of_another_card_is_404(self, client, bench, task):
        assert client.get(reverse("jobcards:task", args=(9999, task.pk))).status_code == 404

    def test_queries_do_not_grow(self, client, bench, card, task):
        def work_on(numbers):
            for number in numbers:
                person = UserFactory.create()
                start_time(task, by=person, key=made.a_key())
                stop_time(task, by=person, key=made.a_key())
                note_readings(task, by=person, key=made.a_key(), torque=Decimal(18 + number))

        row = made.row_of(card, "cones")
        draw_part(row, quantity=Decimal(1), by=UserFactory.create(), key=made.a_key())
        work_on(range(1))
        few = queries_of(client, url(task))
        draw_part(row, quantity=Decimal(1), by=UserFactory.create(), key=made.a_key())
        work_on(range(1, 6))
        assert queries_of(client, url(task)) == few


class TestByScript:
    def say(self, client, task, **data):
        return client.post(url(task), data, HTTP_ACCEPT="application/json")

    def test_it_is_told_what_was_done_and_what_was_done_already(self, client, bench, task):
        reading = {"key": "k1", "torque": "20", "unit": "N·m"}
        told = [self.say(client, task, **reading).json()["outcome"] for _ in range(2)]
        assert told == ["done", "already"]
        assert AfterReading.objects.get().value == 20

    def test_it_is_told_why_it_was_refused_and_which_field(self, client, bench, task):
        answer = self.say(client, task, key="k1", torque="tight", unit="N·m")
        assert answer.status_code == 422
        assert answer.json()["outcome"] == "refused"
        assert "orque" in answer.json()["words"]
        assert not AfterReading.objects.exists()
