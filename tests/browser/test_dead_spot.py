"""A job card where there is no connection: kept, queued, sent once and in order, nothing lost."""

import re
from contextlib import suppress

import pytest
from django.contrib.sessions.models import Session
from django.urls import reverse
from playwright.sync_api import Error, Page, expect

from tests.browser.pages import sign_in
from tests.factories import jobcards as made
from tests.factories.people import PASSWORD, UserFactory
from tests.factories.shop import ShopFactory
from workshop.jobcards.models import CardEvent, Task
from workshop.jobcards.verbs.tick import tick, untick

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

CODES = ("hub", "rim", "bell", "chain")


@pytest.fixture
def tom(transactional_db):
    """The mechanic whose phone it is."""
    ShopFactory.create()
    return UserFactory.create(first_name="Tom", last_name="Wray")


@pytest.fixture
def bea(transactional_db):
    """Another mechanic."""
    return UserFactory.create(first_name="Bea", last_name="Lune")


@pytest.fixture
def card(tom):
    """A card with four tasks that need nothing opened."""
    for code in CODES:
        made.operation(code)
    return made.a_card(made.asked(*CODES))


@pytest.fixture
def phone(phone_page, tom, card):
    """Tom's phone with the card on it, kept for the dead spot."""
    sign_in(phone_page, tom)
    open_card(phone_page, card)
    wait_until_kept(phone_page, card)
    return phone_page


def address_of(card):
    return reverse("jobcards:card", args=(card.pk,))


def open_card(page: Page, card) -> None:
    """Open the card, and wait until its scripts listen."""
    page.goto(address_of(card))
    page.locator("[data-now][data-shown]").first.wait_for()


def until(page: Page, script: str, *given) -> None:
    """Wait until a script says yes; a page that is just being left says nothing."""
    for _ in range(100):
        with suppress(Error):
            if page.evaluate(script, *given):
                return
        page.wait_for_timeout(100)
    raise AssertionError(script)


def wait_until_kept(page: Page, card) -> None:
    """Wait until the worker serves this page and has kept it."""
    until(
        page,
        """async path => {
            const needed = [path, "/static/css/shop.css", "/static/js/offline/drawing.js"];
            const kept = needed.map(each => caches.match(each, { ignoreVary: true }));
            return navigator.serviceWorker.controller && (await Promise.all(kept)).every(Boolean);
        }""",
        address_of(card),
    )


def row(page: Page, card, code):
    return page.locator(f"#task-{made.task_of(card, code).pk}")


def press(page: Page, card, code, word="Tick"):
    row(page, card, code).get_by_role("button", name=re.compile(f"^{word}")).click()


def tick_waiting(page: Page, card, *codes):
    """Tick tasks where there is no connection."""
    for code in codes:
        press(page, card, code)
        expect(row(page, card, code).get_by_text("waiting to be sent")).to_be_visible()


def events(card):
    """What was done with the card: by whom, what, to which task; in order."""
    names = {task.pk: task.code for task in Task.objects.filter(card=card)}
    rows = CardEvent.objects.filter(card=card).order_by("pk").select_related("by")
    return [(each.by.first_name, each.action, names.get(each.subject)) for each in rows]


def line(page: Page, name):
    return page.locator(f"[data-line={name}]")


def nothing_waits(page: Page):
    """Wait until nothing is kept any more."""
    until(
        page,
        """() => new Promise(resolve => {
            indexedDB.open("offline").onsuccess = ({ target: { result: store } }) => {
                store.transaction("entries").objectStore("entries").count().onsuccess = event => {
                    store.close();
                    resolve(event.target.result === 0);
                };
            };
        })""",
    )


def posts(page: Page):
    """Count, from now on, what is sent to be done."""
    sent = []

    def note_down(request):
        if request.method == "POST":
            sent.append(request.url)

    page.context.on("request", note_down)
    return sent


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


def note(where):
    return where.locator(".notice", has_text="Not done")


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


def fill_in(page, person):
    """Sign a person in at the page that is shown."""
    page.fill("[name=username]", person.username)
    page.fill("[name=password]", PASSWORD)
    page.click("main button[type=submit]")


def sign_out(page):
    page.locator(".bar-menu summary").click()
    page.get_by_role("button", name="Sign out").click()
    page.wait_for_url("**/sign-in/**")


def kept_pages(page):
    """The addresses of what is kept, beside scripts and styles."""
    return page.evaluate(
        """async () => {
            if (!await caches.has("offline-pages")) return [];
            const keys = await (await caches.open("offline-pages")).keys();
            const paths = keys.map(each => new URL(each.url).pathname);
            return paths.filter(each => each !== "/kept-for");
        }"""
    )


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
