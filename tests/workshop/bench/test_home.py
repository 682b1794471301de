"""What the first page tells those who promise: what is late or due next, and what stops it."""

import datetime as dt

import pytest
from django.test import Client
from django.urls import reverse

from tests.asking import queries_of
from tests.factories import bench as made
from tests.factories.jobcards import a_card
from tests.factories.parts import PartFactory
from tests.factories.people import sign_in
from workshop.bench import home

pytestmark = pytest.mark.usefixtures("monday")
FRIDAY_BEFORE = dt.date(2026, 2, 27)
MON, TUE, WED = dt.date(2026, 3, 2), dt.date(2026, 3, 3), dt.date(2026, 3, 4)
TITLE = "Promises to look after"


def panel(**role):
    """Return the context of the panel as somebody sees it, None where there is none."""
    client = Client()
    sign_in(client, **role)
    panels = [each for each, _ in client.get(reverse("home")).context["panels"]]
    return next((each.context for each in panels if each.title == TITLE), None)


def cards(**role):
    return [row.card for row in panel(**role)["rows"]]


def html_of(**role):
    client = Client()
    sign_in(client, **role)
    return client.get(reverse("home")).content.decode()


def test_what_is_late_comes_first_with_what_stops_it(work):
    made.at_bench()
    due = a_card(work(10), promised_on=MON)
    late = a_card(work(10, (PartFactory.create(name="Hub"), 1)), promised_on=TUE)
    assert cards(desk=True) == [late, due]
    html = html_of(desk=True)
    assert "Until Mon 9 Mar: 1 × Hub, not ordered yet" in html
    assert "Promised Tue 3 Mar, now expected Tue 10 Mar" in html
    assert reverse("bench:promise", args=(late.pk,)) in html


def test_due_next_reaches_to_the_next_day_at_the_bench(work):
    made.at_bench(weekdays=range(1))
    made.at_bench(weekdays=range(2, 3))
    soon = a_card(work(10), promised_on=WED)
    a_card(work(10), promised_on=WED + dt.timedelta(days=1))
    a_card(work(10))
    assert cards(manager=True) == [soon]


def test_without_hours_only_what_is_past_is_late(work):
    a_card(work(10), promised_on=WED)
    past = a_card(work(10), promised_on=FRIDAY_BEFORE)
    today = a_card(work(10), promised_on=MON)
    assert cards(desk=True) == [past, today]
    assert "no day within half a year" not in html_of(desk=True)


def test_nothing_to_look_after_shows_nothing(work):
    made.at_bench()
    assert panel(desk=True) is None
    a_card(work(10), promised_on=WED + dt.timedelta(days=7))
    assert panel(desk=True) is None


def test_only_those_who_promise_see_it(work):
    made.at_bench()
    a_card(work(10), promised_on=MON)
    assert panel(manager=True)
    assert panel() is None
    assert panel(accountant=True) is None


def test_more_than_fit_are_one_click_away(work, monkeypatch):
    monkeypatch.setattr(home, "MOST", 1)
    made.at_bench()
    for _ in range(2):
        a_card(work(10), promised_on=MON)
    assert len(cards(desk=True)) == 1
    assert "All 2 on the bench board" in html_of(desk=True)


def test_queries_do_not_grow(client, work):
    made.at_bench()
    sign_in(client, desk=True)
    a_card(work(10, (PartFactory.create(), 1)), promised_on=MON)
    few = queries_of(client, reverse("home"))
    for _ in range(4):
        a_card(work(10, (PartFactory.create(), 1)), promised_on=MON)
    assert queries_of(client, reverse("home")) == few
