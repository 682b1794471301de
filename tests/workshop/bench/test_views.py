"""Pages of the bench, for each role."""

import datetime as dt

import pytest
from django.test import Client
from django.urls import reverse

from tests.asking import queries_of
from tests.factories import bench as made
from tests.factories.jobcards import a_card
from tests.factories.parts import PartFactory
from tests.factories.people import UserFactory, sign_in
from workshop.bench.models import Absence, BenchSettings, GivenPromise, SpecialDay
from workshop.jobcards.verbs.times import start_time

pytestmark = pytest.mark.usefixtures("monday")
FRI = dt.date(2026, 3, 6)


@pytest.fixture
def desk():
    client = Client()
    sign_in(client, desk=True)
    return client


@pytest.fixture
def manager():
    client = Client()
    sign_in(client, manager=True)
    return client


def text_of(client, name, *args, **query):
    response = client.get(reverse(name, args=args), query)
    assert response.status_code == 200
    return response.content.decode()


@pytest.mark.parametrize("role", ["manager", "desk", "mechanic", "accountant"])
def test_everybody_sees_the_board(role, work):
    made.at_bench()
    card = a_card(work(10), promised_on=FRI)
    client = Client()
    sign_in(client, role=role)
    for query in ({}, {"by": "stop"}):
        page = text_of(client, "bench:board", **query)
        assert card.number in page
        assert reverse("jobcards:card", args=(card.pk,)) in page
        assert "How full the weeks are" in page


def test_the_board_says_where_hours_are_missing(desk, manager, work):
    a_card(work(10))
    assert "The manager enters who works when." in text_of(desk, "bench:board")
    assert "Enter who works when" in text_of(manager, "bench:board")


def test_an_empty_board_says_so(desk):
    assert "The bench is free" in text_of(desk, "bench:board")


def test_the_board_tells_of_promises_that_will_not_be_kept(desk, work):
    made.at_bench()
    a_card(work(500), promised_on=dt.date(2026, 3, 2))
    page = text_of(desk, "bench:board")
    assert "Not kept as things stand" in page
    assert "promised Mon 2 Mar, now expected Tue 3 Mar" in page


def test_an_overfull_week_is_told_in_words(desk, work):
    made.at_bench()
    a_card(work(2200), promised_on=FRI)
    page = text_of(desk, "bench:board")
    assert "The week of 2 Mar is overfull by 130 minutes" in page


def test_the_board_takes_the_same_queries_however_many_cards(desk, work):
    made.at_bench()
    url = reverse("bench:board")

    def open_some(count):
        for _ in range(count):
            a_card(work(10, (PartFactory.create(), 1)))
            card = a_card(work(10), promised_on=FRI)
            start_time(card.tasks.get(), by=UserFactory.create(), key=f"k{card.pk}")

    open_some(1)
    few = queries_of(desk, url)
    open_some(4)
    assert queries_of(desk, url) == few <= 24


def test_the_desk_promises_a_day(desk, work):
    made.at_bench()
    card = a_card(work(10))
    url = reverse("bench:promise", args=(card.pk,))
    assert 'value="2026-03-02"' in desk.get(url).content.decode()
    assert desk.post(url, {"promised_on": "2026-03-06"}).status_code == 302
    card.refresh_from_db()
    assert card.promised_on == FRI
    page = text_of(desk, "bench:promise", card.pk)
    assert "Promised so far" in page
    assert "Promise another day" in page


def test_a_promise_that_is_refused_says_why_and_keeps_nothing(desk, work):
    made.at_bench()
    card = a_card(work(500))
    url = reverse("bench:promise", args=(card.pk,))
    response = desk.post(url, {"promised_on": "2026-03-02"})
    assert response.status_code == 422
    assert "Say why it can be promised earlier" in response.content.decode()
    assert desk.post(url, {"promised_on": "soon"}).status_code == 422
    assert not GivenPromise.objects.exists()


def test_a_mechanic_reads_why_and_promises_nothing(work):
    made.at_bench()
    card = a_card(work(10))
    client = Client()
    sign_in(client)
    url = reverse("bench:promise", args=(card.pk,))
    page = client.get(url).content.decode()
    assert "No card before it." in page
    assert "Promise this day" not in page
    assert client.post(url, {"promised_on": "2026-03-06"}).status_code == 403


def test_a_released_card_has_nothing_left_to_promise(desk, work):
    made.at_bench()
    card = made.finished(a_card(work(10), promised_on=FRI), 1)
    url = reverse("bench:promise", args=(card.pk,))
    assert "The bike is released; it was promised for Fri 6 Mar 2026" in text_of(
        desk, "bench:promise", card.pk
    )
    assert desk.post(url, {"promised_on": "2026-03-06"}).status_code == 422


def test_the_page_of_a_promise_takes_the_same_queries_however_many_cards(desk, work):
    made.at_bench()
    card = a_card(work(10))
    url = reverse("bench:promise", args=(card.pk,))
    few = queries_of(desk, url)
    for _ in range(4):
        a_card(work(10))
    assert queries_of(desk, url) == few


def hours_of(days=range(5), **more):
    fields = {"bench_share": "75"}
    for day in days:
        fields |= {f"starts_{day}": "09:00", f"ends_{day}": "17:30", f"pause_{day}": "30"}
    return fields | more


def test_the_manager_sets_a_persons_hours(manager):
    user = UserFactory.create(first_name="Tom", last_name="Haskett")
    url = reverse("bench:person", args=(user.pk,))
    assert manager.get(url).status_code == 200
    assert manager.post(url, hours_of()).status_code == 302
    page = text_of(manager, "bench:hours")
    assert "Mon–Fri 9:00–17:30, 30 min pause" in page
    assert "A usual week has 30 h at the bench." in page
    assert 'value="09:00"' in manager.get(url).content.decode()


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"ends_0": ""}, "Monday: write both"),
        ({"starts_2": ""}, "Wednesday: write both"),
        ({"ends_4": "09:20"}, "Friday: the day ends before"),
        ({"pause_0": "-5"}, "greater than or equal to 0"),
        ({"bench_share": "120"}, "is not a share"),
        ({"starts_0": "nine"}, "Enter a valid time"),
    ],
)
def test_hours_that_cannot_be_are_refused(manager, wrong, said):
    user = UserFactory.create()
    url = reverse("bench:person", args=(user.pk,))
    response = manager.post(url, hours_of(**wrong))
    assert response.status_code == 422
    assert said in response.content.decode()
    assert not hasattr(user, "at_bench")


def test_the_desk_enters_who_is_away_and_that_they_are_there_after_all(desk):
    person = made.at_bench()
    url = reverse("bench:away", args=(person.user_id,))
    assert desk.get(url).status_code == 200
    assert desk.post(url, {"first": "2026-03-04"}).status_code == 302
    away = Absence.objects.get()
    assert (away.first, away.last) == (dt.date(2026, 3, 4), dt.date(2026, 3, 4))
    assert "There after all" in text_of(desk, "bench:hours")
    desk.post(reverse("bench:away_remove", args=(away.pk,)))
    assert not Absence.objects.exists()


def test_days_that_go_backwards_are_refused(desk):
    person = made.at_bench()
    backwards = {"first": "2026-03-04", "last": "2026-03-03", "reason": "closed"}
    for url in (reverse("bench:away", args=(person.user_id,)), reverse("bench:day")):
        response = desk.post(url, backwards)
        assert response.status_code == 422
        assert "lies before the first" in response.content.decode()


def test_who_has_no_hours_is_not_away(desk):
    url = reverse("bench:away", args=(UserFactory.create().pk,))
    assert desk.get(url).status_code == 404


def test_closed_days_are_entered_and_taken_away(desk):
    desk.post(reverse("bench:day"), {"first": "2026-03-04", "reason": "stocktaking"})
    page = text_of(desk, "bench:hours")
    assert "Wed 4 Mar 2026: stocktaking" in page
    desk.post(reverse("bench:day_remove", args=(SpecialDay.objects.get().pk,)))
    assert "stocktaking" not in text_of(desk, "bench:hours")


def test_the_manager_says_how_promises_are_made(manager):
    url = reverse("bench:settings")
    fields = {"share": "90", "check_minutes": "20", "answer_days": "3", "subdivision": "SCT"}
    assert manager.post(url, fields).status_code == 302
    kept = BenchSettings.objects.get()
    assert (str(kept.share), kept.subdivision, kept.keeps_holidays) == ("0.900", "SCT", False)
    for wrong in ({"share": "95"}, {"check_minutes": "999"}, {"subdivision": "BY"}):
        assert manager.post(url, fields | wrong).status_code == 422


def test_times_are_shown_and_only_the_manager_is_led_to_change_them(desk, manager, work):
    assert "No time was taken yet" in text_of(desk, "bench:times")
    one = work(10)
    for number in range(5):
        again = type(one)(one.quote_number, 1, 9000 + number, one.tasks)
        made.finished(a_card(again), 2)
    from workshop.labour.models import Operation

    Operation.objects.update(minutes=10)
    link = reverse("catalogue:edit", args=("operations", Operation.objects.get().pk))
    page = text_of(manager, "bench:times")
    assert "20 min" in page
    assert f"{link}?minutes=20" in page
    assert link not in text_of(desk, "bench:times")


def test_lists_of_hours_take_the_same_queries_however_many_people(desk):
    made.at_bench()
    few = queries_of(desk, reverse("bench:hours"))
    for _ in range(4):
        made.at_bench()
    assert queries_of(desk, reverse("bench:hours")) == few
