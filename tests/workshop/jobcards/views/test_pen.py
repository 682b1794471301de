"""Entering a card from paper: all of it or nothing, with what is wrong at its row."""

import datetime as dt
from decimal import Decimal
from itertools import pairwise

import pytest
from django.urls import reverse
from django.utils import timezone

from inventory.stock.models import StockLevel
from tests.asking import queries_of
from tests.factories import jobcards as made
from tests.factories.inspections import MeasureFactory
from tests.factories.people import sign_in
from tests.factories.stock import stocked
from workshop.jobcards.models import AfterReading, CardEvent, Drawn, JobCard, Task, TimeSpan
from workshop.jobcards.verbs.tick import tick
from workshop.jobcards.verbs.times import start_time

pytestmark = pytest.mark.django_db


@pytest.fixture
def card(ada):
    """A hub with a torque, safety-critical cones and a measure, a rim, both behind the wheel."""
    inspection = made.inspected_bike()
    play = made.found(inspection, "hub-play")
    MeasureFactory.create(code="play", name="Play", checkpoint=play.check_made.checkpoint)
    made.operation("hub", "wheel-out", torque_low_nm=Decimal(17), torque_high_nm=Decimal(25))
    made.operation("rim", "wheel-out")
    cones = stocked(5, code="cones", safety_critical=True)
    work = made.asked("hub", "rim", parts=(("hub", cones, 2),), findings={"hub": play})
    opened = made.a_card(work, inspection=inspection)
    JobCard.objects.filter(pk=opened.pk).update(opened_at=timezone.now() - dt.timedelta(hours=5))
    return opened


@pytest.fixture
def desk(client):
    sign_in(client, desk=True, first_name="Dee", last_name="Desk")
    return client


def stamp(minutes_ago=0):
    moment = timezone.localtime() - dt.timedelta(minutes=minutes_ago)
    return f"{moment:%Y-%m-%dT%H:%M}"


def url(card):
    return reverse("jobcards:pen", args=(card.pk,))


def of(card, code, kind="work", **fields):
    """Return the fields of a task as the browser sends them."""
    task = made.task_of(card, code, kind)
    sent = {f"task-{task.pk}-version": task.version}
    return sent | {f"task-{task.pk}-{name.replace('_', '-')}": str(v) for name, v in fields.items()}


def sent(card, who, *rows, key="pen:1", end=None):
    """Return a whole form: the versions of all tasks, and what was written."""
    data = {"key": key, "who": who.pk, "end": end or stamp()}
    for task in Task.objects.filter(card=card):
        data[f"task-{task.pk}-version"] = task.version
    for row in rows:
        data |= row
    return data


def everything(card, who, **more):
    """Return the form with all four tasks done, ten minutes each."""
    row = made.row_of(card, "cones")
    hub = {
        "done": "on",
        "minutes": 20,
        "torque": "20",
        "measure_play": "0,1 mm",
        f"part_{row.pk}": 2,
        f"serial_{row.pk}": "LOT-1",
    }
    return sent(
        card,
        who,
        of(card, "wheel-out", "open", done="on", minutes=10),
        of(card, "hub", **hub),
        of(card, "rim", done="on", minutes=10),
        of(card, "wheel-out", "close", done="on", minutes=5),
        **more,
    )


def nothing_kept(card):
    card.refresh_from_db()
    assert card.state == "ready"
    assert not CardEvent.objects.exists()
    assert not TimeSpan.objects.exists()
    assert not Drawn.objects.exists()
    assert not AfterReading.objects.exists()
    assert not Task.objects.filter(state="done").exists()


def test_the_form_has_a_row_a_task_with_all_that_the_paper_asks(desk, card):
    shown = desk.get(url(card)).content.decode()
    hub, row = made.task_of(card, "hub"), made.row_of(card, "cones")
    for name in ("done", "minutes", "who", "at", "torque", "measure-play"):
        assert f'name="task-{hub.pk}-{name}"' in shown
    assert f'name="task-{hub.pk}-part-{row.pk}"' in shown
    assert f'name="task-{hub.pk}-serial-{row.pk}"' in shown
    rim = made.task_of(card, "rim")
    assert f'name="task-{rim.pk}-torque"' not in shown


def test_a_whole_card_is_entered_in_one_go(desk, card, ada):
    answer = desk.post(url(card), everything(card, ada))
    assert answer.status_code == 302, answer.context["form"].errors
    card.refresh_from_db()
    assert card.state == "checking"
    assert not card.tasks.exclude(done_by=ada).exists()
    drawn = Drawn.objects.get()
    assert (drawn.quantity, drawn.serial, drawn.by) == (2, "LOT-1", ada)
    assert StockLevel.objects.get().on_hand == 3
    torque, play = AfterReading.objects.order_by("measure_id").reverse()
    assert {torque.value, play.value} == {Decimal(20), Decimal("0.1")}


def test_minutes_are_laid_back_to_back_and_the_ticks_stand_where_the_work_ended(desk, card, ada):
    desk.post(url(card), everything(card, ada))
    spans = list(TimeSpan.objects.order_by("started_at"))
    assert [each.stopped_at - each.started_at for each in spans] == [
        dt.timedelta(minutes=minutes) for minutes in (10, 20, 10, 5)
    ]
    for before, after in pairwise(spans):
        assert before.stopped_at == after.started_at
    for span in spans:
        assert span.person == ada
        assert span.task.done_at == span.stopped_at


def test_who_entered_it_is_kept_beside_who_did_it(desk, card, ada):
    desk.post(url(card), everything(card, ada))
    entered = CardEvent.objects.get(action="enter")
    assert str(entered.by) == "Dee Desk"
    assert entered.words == "entered from paper: 4 tasks"
    assert {each.by for each in CardEvent.objects.filter(action="tick")} == {ada}


def test_sent_twice_it_is_entered_once(desk, card, ada):
    data = everything(card, ada)
    desk.post(url(card), data)
    count = CardEvent.objects.count()
    desk.post(url(card), data)
    assert CardEvent.objects.count() == count
    assert Drawn.objects.count() == 1


def test_another_person_and_time_stand_beside_their_task(desk, card, ada, ben):
    rim = of(card, "rim", done="on", minutes=15, who=ben.pk, at=stamp(60))
    desk.post(url(card), sent(card, ada, rim))
    task = made.task_of(card, "rim")
    assert task.done_by == ben
    assert timezone.now() - task.done_at >= dt.timedelta(minutes=59)
    assert TimeSpan.objects.get().person == ben


def test_minutes_alone_are_time_spent_on_a_task_that_goes_on(desk, card, ada):
    desk.post(url(card), sent(card, ada, of(card, "rim", minutes=15)))
    card.refresh_from_db()
    assert card.state == "working"
    assert made.task_of(card, "rim").state == "to_do"
    assert TimeSpan.objects.get().stopped_at is not None


def wrong(desk, card, data, *words):
    """See that the form is refused with these words and that nothing was kept."""
    answer = desk.post(url(card), data)
    assert answer.status_code == 422
    shown = answer.content.decode()
    for each in words:
        assert each in shown, each
    nothing_kept(card)


def test_a_safety_part_without_its_number_lets_nothing_in(desk, card, ada):
    row = made.row_of(card, "cones")
    data = everything(card, ada)
    data[f"task-{made.task_of(card, 'hub').pk}-serial-{row.pk}"] = ""
    wrong(desk, card, data, "is safety-critical", "Nothing was entered")


def test_all_that_is_wrong_is_told_at_once(desk, card, ada):
    row = made.row_of(card, "cones")
    data = everything(card, ada)
    data[f"task-{made.task_of(card, 'hub').pk}-part-{row.pk}"] = "7"
    rim = made.task_of(card, "rim")
    data[f"task-{rim.pk}-at"] = stamp(-90)
    wrong(desk, card, data, "still to be drawn are", "That lies ahead")


@pytest.mark.parametrize(
    ("field", "value", "words"),
    [
        ("torque", "999", "cannot be right here"),
        ("torque", "20 mm", "wrong unit"),
        ("measure-play", "99", "cannot be right here"),
        ("minutes", "abc", "is not a number"),
        ("minutes", "2000", "less than or equal to 1440"),
    ],
)
def test_what_cannot_be_read_is_told_beside_its_field(desk, card, ada, field, value, words):
    data = everything(card, ada)
    data[f"task-{made.task_of(card, 'hub').pk}-{field}"] = value
    wrong(desk, card, data, words)


def test_minutes_before_the_card_was_opened_are_refused(desk, card, ada):
    data = sent(card, ada, of(card, "rim", done="on", minutes=600))
    wrong(desk, card, data, "The card was opened at")


def test_nobody_worked_on_two_things_at_once(desk, card, ada):
    data = sent(
        card,
        ada,
        of(card, "hub", done="on", minutes=30, at=stamp(10)),
        of(card, "rim", done="on", minutes=30, at=stamp(20)),
    )
    wrong(desk, card, data, "two things at once")


def test_what_runs_on_the_phone_meanwhile_counts_too(desk, card, ada):
    other = made.a_card(made.asked(made.operation("elsewhere")))
    span = start_time(made.task_of(other, "elsewhere"), by=ada, key="t1")
    TimeSpan.objects.filter(pk=span.pk).update(started_at=timezone.now() - dt.timedelta(hours=1))
    answer = desk.post(url(card), sent(card, ada, of(card, "rim", done="on", minutes=30)))
    assert answer.status_code == 422
    assert "two things at once" in answer.content.decode()


def test_what_somebody_ticked_meanwhile_is_told(desk, card, ada, ben):
    data = everything(card, ada)
    rim = made.task_of(card, "rim")
    tick(rim, by=ben, key="k1", base_version=rim.version)
    data |= {"key": "pen:2"}
    answer = desk.post(url(card), data)
    assert answer.status_code == 302
    assert made.task_of(card, "rim").done_by == ben


def test_an_old_page_does_not_tick_what_changed_since(desk, card, ada):
    data = sent(card, ada, of(card, "rim", done="on"))
    Task.objects.filter(pk=made.task_of(card, "rim").pk).update(version=9)
    wrong(desk, card, data, "somebody has taken the tick back")


def test_an_empty_form_is_refused(desk, card, ada):
    wrong(desk, card, sent(card, ada), "Nothing is entered yet")


def test_a_card_without_open_tasks_says_so(desk, card, ada, finish):
    finish(card, ada)
    assert "Nothing is left to do" in desk.get(url(card)).content.decode()


def test_the_accountant_enters_nothing(client, card):
    sign_in(client, accountant=True)
    assert client.get(url(card)).status_code == 403
    assert client.post(url(card)).status_code == 403


def test_a_large_card_asks_the_database_as_often_as_a_small_one(desk):
    counts = []
    for many in (2, 9):
        inspection = made.inspected_bike()
        codes = [made.operation(f"op-{many}-{number}") for number in range(many)]
        found = {code: made.found(inspection, f"fault-{code}") for code in codes}
        for finding in found.values():
            MeasureFactory.create(checkpoint=finding.check_made.checkpoint)
        card = made.a_card(made.asked(*codes, findings=found), inspection=inspection)
        counts.append(queries_of(desk, url(card)))
    assert counts[0] == counts[1]
