"""A tick where there is no connection: queued, sent once and in order, nothing lost."""

import re

import pytest
from playwright.sync_api import expect

from tests.browser.offline.spot import (
    CODES,
    address_of,
    events,
    line,
    note,
    nothing_waits,
    open_card,
    posts,
    press,
    row,
    tick_waiting,
)
from tests.browser.pages import sign_in
from tests.factories import jobcards as made
from workshop.jobcards.verbs.tick import tick, untick

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


class TestThreeTicks:
    def test_survive_a_reload_and_are_sent_once_in_order(self, phone, card):
        sent = posts(phone)
        phone.context.set_offline(True)
        tick_waiting(phone, card, "rim", "hub", "bell")
        expect(line(phone, "waiting")).to_contain_text("Waiting to be sent: 3")
        phone.reload()
        expect(line(phone, "as_of")).to_have_text(re.compile(r"As of \d\d:\d\d, no connection"))
        expect(line(phone, "waiting")).to_contain_text("Waiting to be sent: 3")
        for code in ("rim", "hub", "bell"):
            expect(row(phone, card, code).get_by_text("waiting to be sent")).to_be_visible()
            expect(row(phone, card, code).get_by_role("button", name="Undo")).to_be_visible()
        expect(row(phone, card, "chain").get_by_role("button", name="Tick")).to_be_visible()
        assert events(card) == []
        phone.context.set_offline(False)
        nothing_waits(phone)
        ticked = [("Tom", "tick", code) for code in ("rim", "hub", "bell")]
        assert events(card) == ticked
        assert len(sent) == 3
        expect(line(phone, "as_of")).to_be_hidden()
        expect(row(phone, card, "hub").get_by_text("Tom Wray")).to_be_visible()
        assert events(card) == ticked

    def test_survive_the_closing_of_the_page(self, phone, card):
        context = phone.context
        context.set_offline(True)
        tick_waiting(phone, card, "hub")
        phone.close()
        again = context.new_page()
        context.set_offline(False)
        again.goto("/")  # any page of the site sends what waits
        nothing_waits(again)
        assert events(card) == [("Tom", "tick", "hub")]

    def test_the_button_at_the_thumb_goes_on_to_the_next(self, phone, card):
        foot = phone.locator("#card-foot form")
        phone.context.set_offline(True)
        for code in CODES:
            expect(foot).to_have_text(re.compile(rf"Done:\s+{code}", re.IGNORECASE))
            foot.get_by_role("button").click()
        expect(foot).to_be_hidden()
        phone.context.set_offline(False)
        nothing_waits(phone)
        assert [each[1] for each in events(card)] == ["tick"] * 4


class TestSentOnce:
    def test_where_the_reply_was_lost(self, phone, card):
        lost = []

        def lose(route):
            answer = route.fetch()
            lost.append(answer.json()["outcome"])
            route.abort("connectionreset")

        phone.context.route("**/tick/", lose, times=1)
        press(phone, card, "hub")
        press(phone, card, "rim")
        nothing_waits(phone)
        assert lost == ["done"]
        assert events(card) == [("Tom", "tick", "hub"), ("Tom", "tick", "rim")]
        assert made.task_of(card, "hub").version == 2

    def test_what_comes_on_top_of_a_lost_reply_is_held_to_the_version_it_gave(
        self, phone, card, bea
    ):
        """While its reply is lost Bea takes the tick back, and ticks: Tom's undo is not of that."""
        hub = made.task_of(card, "hub")

        def lose(route):
            route.fetch()
            for verb, base in ((untick, 2), (tick, 3)):
                verb(hub, by=bea, key=f"hers-{base}", base_version=base)
            route.abort("connectionreset")

        phone.context.route("**/tick/", lose, times=1)
        phone.context.set_offline(True)
        tick_waiting(phone, card, "hub")
        press(phone, card, "hub", "Undo")
        phone.context.set_offline(False)
        expect(note(phone)).to_contain_text("Not done: Undo: Hub")
        expect(note(phone)).to_contain_text("Bea Lune has ticked it at")
        assert [each[:2] for each in events(card)] == [
            ("Tom", "tick"),
            ("Bea", "untick"),
            ("Bea", "tick"),
        ]
        assert made.task_of(card, "hub").done_by == bea

    def test_by_two_tabs(self, phone, card):
        other = phone.context.new_page()
        open_card(other, card)
        sent = posts(phone)
        phone.context.set_offline(True)
        tick_waiting(phone, card, "hub", "rim")
        tick_waiting(other, card, "bell", "chain")
        expect(line(phone, "waiting")).to_contain_text("Waiting to be sent: 4")
        phone.context.set_offline(False)
        nothing_waits(phone)
        assert events(card) == [("Tom", "tick", code) for code in ("hub", "rim", "bell", "chain")]
        assert len(sent) == 4

    def test_tick_undo_and_tick_again_each_on_top_of_the_one_before(self, phone, card):
        phone.context.set_offline(True)
        press(phone, card, "hub")
        press(phone, card, "hub", "Undo")
        press(phone, card, "hub")
        expect(line(phone, "waiting")).to_contain_text("3")
        phone.context.set_offline(False)
        nothing_waits(phone)
        assert [each[1] for each in events(card)] == ["tick", "untick", "tick"]
        assert made.task_of(card, "hub").version == 4

    def test_a_quick_undo_with_a_connection_is_on_top_of_the_tick(self, phone, card):
        press(phone, card, "hub")
        press(phone, card, "hub", "Undo")
        nothing_waits(phone)
        assert [each[1] for each in events(card)] == ["tick", "untick"]
        expect(row(phone, card, "hub").get_by_role("button", name="Tick")).to_be_visible()


class TestRefused:
    @pytest.fixture
    def clash(self, phone, card, bea):
        """Tom ticks and takes back where he has no connection what Bea ticks meanwhile."""
        phone.context.set_offline(True)
        tick_waiting(phone, card, "hub")
        press(phone, card, "hub", "Undo")
        tick_waiting(phone, card, "rim")
        tick(made.task_of(card, "hub"), by=bea, key="hers", base_version=1)
        phone.context.set_offline(False)
        expect(note(phone)).to_be_visible()
        return phone

    def test_is_said_at_the_row_with_what_hung_on_it(self, clash, card):
        here = row(clash, card, "hub")
        expect(note(here)).to_contain_text("Not done: Tick: Hub")
        expect(note(here)).to_contain_text("Bea Lune has ticked it at")
        expect(note(here)).to_contain_text("Not sent, because it came on top of that: Undo: Hub")

    def test_holds_up_nothing_else_and_changes_nothing(self, clash, card):
        expect(row(clash, card, "rim").get_by_text("Tom Wray")).to_be_visible()
        assert events(card) == [("Bea", "tick", "hub"), ("Tom", "tick", "rim")]
        assert made.task_of(card, "hub").is_done

    def test_stays_until_somebody_takes_note(self, clash, card):
        clash.reload()
        expect(note(row(clash, card, "hub"))).to_be_visible()
        note(clash).get_by_role("button", name="Take note").click()
        expect(note(clash)).to_have_count(0)
        clash.reload()
        clash.locator("[data-now][data-shown]").first.wait_for()
        expect(note(clash)).to_have_count(0)
        press(clash, card, "hub", "Undo")
        nothing_waits(clash)
        assert events(card)[-1] == ("Tom", "untick", "hub")

    def test_what_the_server_fails_over_again_and_again_holds_up_nothing(self, phone, card):
        hub = made.task_of(card, "hub").pk
        failing = f"**/tasks/{hub}/tick/"
        phone.context.route(failing, lambda route: route.fulfill(status=500, body="oh"))
        phone.context.set_offline(True)
        tick_waiting(phone, card, "hub", "rim")
        phone.context.set_offline(False)
        for _ in range(8):
            phone.evaluate("window.dispatchEvent(new Event('online'))")  # sits out no wait
            phone.wait_for_timeout(200)
        expect(note(row(phone, card, "hub"))).to_contain_text("failed over it several times")
        assert events(card) == [("Tom", "tick", "rim")]
        phone.context.unroute(failing)
        note(phone).get_by_role("button", name="Try again").click()
        nothing_waits(phone)
        assert events(card) == [("Tom", "tick", "rim"), ("Tom", "tick", "hub")]


def test_without_scripts_it_is_the_plain_form(chromium, live_server, card, tom):
    context = chromium.new_context(base_url=live_server.url, java_script_enabled=False)
    page = context.new_page()
    sign_in(page, tom)
    page.goto(address_of(card))
    press(page, card, "hub")
    expect(row(page, card, "hub").get_by_text("Tom Wray")).to_be_visible()
    assert row(page, card, "hub").get_by_role("button", name="Tick").count() == 0
    press(page, card, "hub", "Undo")
    expect(row(page, card, "hub").get_by_role("button", name="Tick")).to_be_visible()
    context.close()
    assert events(card) == [("Tom", "tick", "hub"), ("Tom", "untick", "hub")]
