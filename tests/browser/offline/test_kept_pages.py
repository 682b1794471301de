"""Which pages the phone keeps, for whom, and when they go."""

import re

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.contrib.sessions.models import Session
from django.urls import reverse
from playwright.sync_api import expect

from tests.browser.offline.spot import (
    address_of,
    events,
    kept_pages,
    line,
    note,
    nothing_waits,
    press,
    row,
    sign_out,
    tick_waiting,
    until,
    wait_until_kept,
)
from tests.browser.pages import sign_in
from tests.factories import jobcards as made
from tests.factories.people import UserFactory
from workshop.jobcards.verbs.tick import tick

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]


class TestKeptPages:
    def test_only_cards_are_kept(self, phone, card):
        phone.goto(reverse("bikes:detail", args=(card.bike_id,)))
        phone.goto(reverse("jobcards:list"))
        phone.goto(address_of(card))
        press(phone, card, "hub")
        nothing_waits(phone)
        assert kept_pages(phone) == [address_of(card)]

    def test_they_go_when_their_person_signs_out(self, phone, card):
        assert kept_pages(phone) == [address_of(card)]
        sign_out(phone)
        assert kept_pages(phone) == []
        phone.context.set_offline(True)
        phone.goto(address_of(card))
        expect(phone.get_by_text("No job card is kept here")).to_be_visible()
        assert "Hub" not in phone.content()

    def test_they_go_when_a_session_ended_and_the_sign_in_page_is_shown(self, phone, card):
        Session.objects.all().delete()
        phone.reload()
        phone.wait_for_url("**/sign-in/**")
        until(phone, "async () => !await caches.has('offline-pages')")

    def test_a_card_that_was_never_opened_says_so_and_which_were(self, phone, card):
        other = made.a_card(made.asked("bell"))
        phone.context.set_offline(True)
        phone.goto(address_of(other))
        expect(phone.get_by_role("heading", name="No connection")).to_be_visible()
        phone.get_by_role("link", name=card.number).click()
        expect(row(phone, card, "hub")).to_be_visible()

    def test_what_was_sent_is_seen_in_the_next_dead_spot(self, phone, card):
        phone.context.set_offline(True)
        tick_waiting(phone, card, "hub")
        phone.context.set_offline(False)
        nothing_waits(phone)
        phone.context.set_offline(True)
        phone.reload()
        expect(row(phone, card, "hub").get_by_role("button", name="Undo")).to_be_visible()
        press(phone, card, "hub", "Undo")
        phone.context.set_offline(False)
        nothing_waits(phone)
        assert events(card) == [("Tom", "tick", "hub"), ("Tom", "untick", "hub")]

    def test_they_say_how_old_they_are_also_to_who_only_looks(self, phone_page, card):
        sign_in(phone_page, UserFactory.create(accountant=True))
        phone_page.goto(address_of(card))
        wait_until_kept(phone_page, card)
        phone_page.context.set_offline(True)
        phone_page.reload()
        expect(line(phone_page, "as_of")).to_have_text(
            re.compile(r"As of \d\d:\d\d, no connection")
        )
        phone_page.context.set_offline(False)
        expect(line(phone_page, "as_of")).to_be_hidden()


def test_the_page_is_as_accessible_with_what_waits_and_what_was_refused(phone, card, bea):
    phone.context.set_offline(True)
    tick_waiting(phone, card, "hub", "rim")
    assert complaints(phone) == []
    tick(made.task_of(card, "hub"), by=bea, key="hers", base_version=1)
    phone.context.set_offline(False)
    expect(note(phone)).to_be_visible()
    assert complaints(phone) == []
    assert phone.evaluate("document.documentElement.scrollWidth") == 390


def complaints(page):
    """What axe-core finds wrong on the page as it is drawn now."""
    found = Axe().run(page, options={"runOnly": RULES})
    return [each["id"] for each in found.response["violations"]]
