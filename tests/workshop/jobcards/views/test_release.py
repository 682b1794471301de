"""The pages of the release check: signing, taking back, what stands in the way, letting go."""

import datetime as dt
from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from tests.asking import queries_of
from tests.factories import jobcards as made
from tests.factories.people import UserFactory, sign_in
from workshop.bikes.models import Bike, Stage
from workshop.core.judgement import Importance
from workshop.jobcards.asked import DeclinedAsked
from workshop.jobcards.models import ReleaseCheck
from workshop.jobcards.verbs.read import MakerFigure, note_readings
from workshop.jobcards.verbs.sign import sign, unsign

pytestmark = pytest.mark.django_db
IN_PLACE = {"HTTP_HX_REQUEST": "true"}


@pytest.fixture
def items():
    return [made.release_item("brakes"), made.release_item("steering")]


@pytest.fixture
def ready(card, ada, finish, items):
    """A card that is to be checked: Ada did the work."""
    finish(card, ada)
    return card


@pytest.fixture
def bench(client, ben):
    """Ben, who did none of the work, at the bench."""
    client.force_login(ben)
    return client


def page(client, card):
    return client.get(reverse("jobcards:release", args=(card.pk,))).content.decode()


def post(client, card, name, item=None, **data):
    args = (card.pk, item.pk) if item else (card.pk,)
    extra = data.pop("extra", {})
    data.setdefault("key", made.a_key())
    return client.post(reverse(f"jobcards:{name}", args=args), data, **extra)


def day_after(days):
    return (timezone.localdate() + dt.timedelta(days=days)).isoformat()


def test_each_item_of_this_kind_of_bike_stands_there_with_how_to_check_it(bench, ready):
    made.release_item("discs", brakes=["disc"])
    shown = page(bench, ready)
    assert "Brakes" in shown
    assert "Look at it." in shown
    assert "Discs" not in shown
    assert "0 of 2 signed" in shown
    assert "Not signed yet: 2 of the release check." in shown


def test_a_signature_says_who_signed_and_what_was_noted(bench, ready, items, ben):
    answer = post(bench, ready, "sign", items[0], note="Left lever a bit long.")
    assert answer.status_code == 302
    shown = page(bench, ready)
    assert str(ben) in shown
    assert "Left lever a bit long." in shown
    assert "1 of 2 signed" in shown


def test_in_place_the_check_alone_is_answered(bench, ready, items):
    answer = post(bench, ready, "sign", items[0], extra=IN_PLACE)
    assert answer.status_code == 200
    assert "<html" not in answer.content.decode()
    assert "1 of 2 signed" in answer.content.decode()


def test_a_signature_is_taken_back(bench, ready, items):
    post(bench, ready, "sign", items[0])
    post(bench, ready, "unsign", items[0])
    assert not ReleaseCheck.objects.exists()


def test_a_signature_sent_again_after_it_was_taken_back_is_no_new_one(bench, ready, items, ben):
    sign(ready, items[0], by=ben, key="s1")
    unsign(ready, items[0], by=ben, key="s2")
    answer = post(bench, ready, "sign", items[0], key="s1", extra=IN_PLACE)
    assert "out of date" in answer.content.decode()
    assert not ReleaseCheck.objects.exists()


def test_who_signs_what_is_signed_is_told_whose_it_is(bench, ready, items):
    other = UserFactory.create(manager=True)
    sign(ready, items[0], by=other, key="s1")
    answer = post(bench, ready, "sign", items[0], extra=IN_PLACE)
    assert f"was signed by {other} already" in answer.content.decode()


def test_a_note_too_long_is_refused(bench, ready, items):
    answer = post(bench, ready, "sign", items[0], note="x" * 201, extra=IN_PLACE)
    assert "at most 200" in answer.content.decode()
    assert not ReleaseCheck.objects.exists()


def test_who_did_the_work_is_told_why_they_do_not_sign(client, ready, ada, items):
    client.force_login(ada)
    shown = page(client, ready)
    assert "somebody else looks it over" in shown
    assert "Good: sign" not in shown
    post(client, ready, "sign", items[0])
    assert not ReleaseCheck.objects.exists()


@pytest.mark.parametrize("role", ["desk", "accountant"])
def test_who_does_not_wrench_sees_it_and_signs_nothing(client, ready, items, role):
    sign_in(client, **{role: True})
    shown = page(client, ready)
    assert "Brakes" in shown
    assert "Good: sign" not in shown
    assert post(client, ready, "sign", items[0]).status_code == 403
    assert post(client, ready, "let_go").status_code == 403


def test_before_the_work_is_done_nothing_can_be_signed(bench, card, items):
    shown = page(bench, card)
    assert "Tasks are still to be done: 4." in shown
    assert "Good: sign" not in shown
    answer = post(bench, card, "sign", items[0], extra=IN_PLACE)
    assert "tick the first task" in answer.content.decode()


def test_all_signed_the_bike_goes_with_its_next_check(bench, ready, items):
    for each in items:
        post(bench, ready, "sign", each)
    assert "Nothing stands in the way" in page(bench, ready)
    answer = post(bench, ready, "let_go", next_check_on=day_after(90))
    assert answer.status_code == 302
    ready.refresh_from_db()
    assert ready.state == "released"
    assert ready.next_check_on.isoformat() == day_after(90)
    assert Bike.objects.get().stage == Stage.RELEASED
    shown = page(bench, ready)
    assert "Released" in shown
    assert "Take back" not in shown


@pytest.mark.parametrize("days", [0, -1, 2000])
def test_the_next_check_lies_ahead(bench, ready, items, days):
    for each in items:
        post(bench, ready, "sign", each)
    answer = post(bench, ready, "let_go", next_check_on=day_after(days))
    assert answer.status_code == 422
    assert "lies after today" in answer.content.decode()
    ready.refresh_from_db()
    assert ready.is_open


def test_unsigned_it_does_not_go(bench, ready):
    answer = post(bench, ready, "let_go", extra=IN_PLACE)
    assert "Not signed yet: 2" in answer.content.decode()
    ready.refresh_from_db()
    assert ready.is_open


def declining(ada, finish, *, unsafe):
    """Return a card of which work that must be done was declined."""
    inspection = made.inspected_bike()
    bad = made.found(inspection, "fork-bent", default_judgement="unsafe" if unsafe else "watch")
    made.operation("hub")
    no = DeclinedAsked("New fork", Importance.MUST, findings=(bad.pk,))
    card = made.a_card(made.asked("hub", declined=(no,)), inspection=inspection)
    finish(card, ada)
    return card


@pytest.mark.parametrize("unsafe", [True, False])
def test_what_must_be_done_and_was_declined_is_told_first(bench, ada, finish, unsafe):
    card = declining(ada, finish, unsafe=unsafe)
    shown = page(bench, card)
    assert "Must be done, and declined: New fork." in shown
    assert ("It must not be ridden." in shown) is unsafe
    answer = post(bench, card, "let_go", next_check_on=day_after(9))
    assert answer.status_code == 422
    card.refresh_from_db()
    assert card.is_open
    post(bench, card, "let_go", next_check_on=day_after(9), told_declined="on")
    card.refresh_from_db()
    assert card.state == "released"


def test_torques_stand_there_with_whose_figure_holds(bench, ready, ada):
    hub = made.task_of(ready, "hub")
    note_readings(hub, by=ada, key="r1", torque=Decimal(20))
    assert "17–25 N·m (150–221 lbf·in), ours" in page(bench, ready)
    maker = MakerFigure(Decimal(19), Decimal(21), "on the axle")
    note_readings(hub, by=ada, key="r2", torque=Decimal(20), maker=maker)
    shown = page(bench, ready)
    assert "the maker’s: on the axle" in shown
    assert "Prefer the maker’s figure" in shown
    assert "20 N·m" in shown


def test_news_are_told_once_the_card_moved(bench, ready, items, ben):
    url = reverse("jobcards:release_news", args=(ready.pk,))
    assert bench.get(url, {"version": ready.version}).status_code == 204
    sign(ready, items[0], by=ben, key="s1")
    assert "changed meanwhile" in bench.get(url, {"version": ready.version}).content.decode()


def test_the_page_asks_the_database_as_often_for_two_items_as_for_twelve(bench, ready, ben):
    url = reverse("jobcards:release", args=(ready.pk,))
    few = queries_of(bench, url)
    for number in range(10):
        sign(ready, made.release_item(f"item-{number}"), by=ben, key=made.a_key())
    assert queries_of(bench, url) == few


def test_a_card_that_is_not_there_is_404(bench):
    assert bench.get(reverse("jobcards:release", args=(999,))).status_code == 404
    assert Client().get(reverse("jobcards:release", args=(999,))).status_code == 302
