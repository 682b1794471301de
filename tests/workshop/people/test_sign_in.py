"""Signing in: passwords can't be tried without end, and what comes with it is safe."""

import datetime as dt

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from tests.factories.people import PASSWORD, UserFactory
from workshop.people.models import FailedSignIn
from workshop.people.verbs.sign_in import MINUTES, MOST_FROM_EVERYWHERE, MOST_FROM_ONE_PLACE

pytestmark = pytest.mark.django_db

LOGIN = reverse("login")


@pytest.fixture
def robin():
    return UserFactory.create(username="robin")


def attempt(password, *, username="robin", address="192.0.2.1", client=None, **query):
    return (client or Client()).post(
        LOGIN, {"username": username, "password": password} | query, REMOTE_ADDR=address
    )


def got_in(response):
    return response.status_code == 302


def fail(times, **where):
    for number in range(times):
        assert not got_in(attempt(f"wrong {number}", **where))


def test_a_few_slips_do_no_harm(robin):
    fail(MOST_FROM_ONE_PLACE - 1)
    assert got_in(attempt(PASSWORD))


def test_after_many_failures_even_the_right_password_waits(robin):
    fail(MOST_FROM_ONE_PLACE)
    response = attempt(PASSWORD)
    assert not got_in(response)
    assert "Too many sign-ins with this name failed" in response.content.decode()


def test_capitals_make_no_other_login_of_it(robin):
    fail(MOST_FROM_ONE_PLACE, username="ROBIN")
    assert not got_in(attempt(PASSWORD))


def test_after_a_while_it_may_be_tried_again(robin):
    fail(MOST_FROM_ONE_PLACE)
    FailedSignIn.objects.update(at=timezone.now() - dt.timedelta(minutes=MINUTES, seconds=1))
    assert got_in(attempt(PASSWORD))


def test_one_place_does_not_shut_the_person_out_elsewhere(robin):
    fail(MOST_FROM_ONE_PLACE)
    assert got_in(attempt(PASSWORD, address="192.0.2.2"))


def test_another_login_at_the_same_place_is_not_held_up(robin):
    UserFactory.create(username="ines")
    fail(MOST_FROM_ONE_PLACE)
    assert got_in(attempt(PASSWORD, username="ines"))


def test_many_machines_together_do_not_get_more_tries(robin):
    for number in range(MOST_FROM_EVERYWHERE):
        fail(1, address=f"198.51.100.{number}")
    assert not got_in(attempt(PASSWORD, address="203.0.113.9"))


def test_an_unknown_login_is_held_up_alike_so_that_it_tells_nothing(db):
    fail(MOST_FROM_ONE_PLACE, username="nobody")
    assert "Too many sign-ins" in attempt("x", username="nobody").content.decode()


def test_getting_in_forgets_the_slips_before(robin):
    fail(MOST_FROM_ONE_PLACE - 1)
    assert got_in(attempt(PASSWORD))
    assert not FailedSignIn.objects.exists()


def test_old_failures_and_what_was_typed_are_not_kept(robin):
    fail(1)
    kept = FailedSignIn.objects.get()
    assert "robin" not in kept.login + kept.place
    assert "192.0.2.1" not in kept.place
    FailedSignIn.objects.update(at=timezone.now() - dt.timedelta(minutes=MINUTES + 1))
    fail(1)
    assert FailedSignIn.objects.count() == 1


@pytest.mark.parametrize(
    "elsewhere",
    ["https://evil.example/", "//evil.example/", "/\\evil.example", "javascript:alert(1)"],
)
def test_signing_in_leads_to_no_foreign_site(robin, elsewhere):
    response = attempt(PASSWORD, next=elsewhere)
    assert response["Location"] == "/"


def test_the_session_gets_a_new_key_on_signing_in(robin):
    client = Client()
    client.session["planted"] = "by somebody else"
    session = client.session
    session.save()
    planted = client.cookies["sessionid"].value
    assert got_in(attempt(PASSWORD, client=client))
    assert client.cookies["sessionid"].value != planted


def test_a_form_without_its_token_is_refused_with_what_to_do(robin):
    client = Client(enforce_csrf_checks=True)
    response = attempt(PASSWORD, client=client)
    assert response.status_code == 403
    assert b"<h1" in response.content


@pytest.mark.parametrize("text", ["a\0b", "x" * 30_000, "\udcff".encode("utf-8", "surrogatepass")])
def test_rubbish_is_a_wrong_login_and_nothing_worse(robin, text):
    assert attempt(text).status_code == 200
    assert attempt(PASSWORD, username=text).status_code == 200


def test_pages_may_not_stand_in_a_frame_and_load_nothing_foreign():
    response = Client().get(LOGIN)
    assert response["X-Frame-Options"] == "DENY"
    assert "frame-ancestors 'none'" in response["Content-Security-Policy"]
    assert response["X-Content-Type-Options"] == "nosniff"
