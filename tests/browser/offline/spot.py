"""What the tests of the dead spot do at the phone: open, tick, wait, look at what is kept."""

from __future__ import annotations

import re
from contextlib import suppress

from django.urls import reverse
from playwright.sync_api import Error, Page, expect

from tests.factories import jobcards as made
from tests.factories.people import PASSWORD
from workshop.jobcards.models import CardEvent, Task

CODES = ("hub", "rim", "bell", "chain")


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


def note(where):
    return where.locator(".notice", has_text="Not done")


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
