"""What waits is its person's: nobody sends what another did."""

import re

import pytest
from django.contrib.sessions.models import Session
from playwright.sync_api import expect

from tests.browser.offline.spot import (
    events,
    fill_in,
    line,
    nothing_waits,
    open_card,
    posts,
    press,
    row,
    sign_out,
    tick_waiting,
)
from tests.browser.pages import sign_in
from tests.factories import jobcards as made
from tests.factories.people import PASSWORD

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


class TestWhoIsSignedIn:
    @pytest.fixture
    def ended(self, phone, card):
        """Tom ticks where he has no connection; his session ends; the connection comes back."""
        phone.context.set_offline(True)
        tick_waiting(phone, card, "hub")
        Session.objects.all().delete()
        phone.context.set_offline(False)
        expect(line(phone, "ended")).to_be_visible()
        return phone

    def test_a_session_that_ended_keeps_what_waits_and_asks(self, ended, card, tom):
        assert events(card) == []
        ended.get_by_role("link", name="Sign in to send it").click()
        expect(line(ended, "others")).to_contain_text("Waiting on this device: Tom Wray: 1")
        fill_in(ended, tom)
        nothing_waits(ended)
        assert events(card) == [("Tom", "tick", "hub")]

    def test_nobody_sends_what_another_did(self, ended, card, bea, tom):
        sent = posts(ended)
        sign_in(ended, bea)
        open_card(ended, card)
        expect(line(ended, "others")).to_contain_text("Waiting on this device: Tom Wray: 1")
        press(ended, card, "rim")
        expect(row(ended, card, "rim").get_by_text("Bea Lune")).to_be_visible()
        assert events(card) == [("Bea", "tick", "rim")]
        assert not [each for each in sent if f"/{made.task_of(card, 'hub').pk}/" in each]
        sign_out(ended)
        sign_in(ended, tom)
        nothing_waits(ended)
        assert events(card) == [("Bea", "tick", "rim"), ("Tom", "tick", "hub")]

    def test_who_signs_in_between_asking_and_sending_makes_the_token_void(self, phone, card, bea):
        """The last moment: the server was asked who it is, then Bea signs in, then it is sent."""
        answers = []

        def barge_in(route):
            request = phone.context.request
            phone.context.clear_cookies(name="sessionid")
            form = request.get("/sign-in/").text()
            token = re.search(r'name="csrfmiddlewaretoken" value="(\w+)"', form)[1]
            data = {"username": bea.username, "password": PASSWORD, "csrfmiddlewaretoken": token}
            assert request.post("/sign-in/", form=data).ok
            route.continue_()

        phone.context.on(
            "response", lambda reply: answers.append((reply.request.method, reply.status))
        )
        phone.context.route("**/tick/", barge_in, times=1)
        press(phone, card, "hub")
        expect(line(phone, "another")).to_be_visible()
        assert ("POST", 403) in answers
        assert events(card) == []
