"""A job card from opening to release: two mechanics at once, on phones."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import FilePayload, Page, expect

from inventory.parts.models import Part
from quotes.acceptance.selectors import DECIDABLE
from quotes.acceptance.verbs.record import record_answer
from quotes.quoting.models import Revision
from quotes.quoting.verbs.send import send
from quotes.quoting.verbs.start import start_quote
from tests.browser.offline.spot import nothing_waits, wait_until_kept
from tests.browser.pages import DEEP, FOUND, inspected, sign_in
from tests.conftest import PHONE
from tests.factories.inspections import jpeg
from tests.factories.people import UserFactory
from tests.factories.shop import ShopFactory
from tests.factories.stock import come_in
from workshop.catalogue.loading import load_catalogue
from workshop.jobcards.models import (
    CardEvent,
    Drawn,
    ExtraWork,
    JobCard,
    Task,
    TaskKind,
    TaskPart,
    TaskState,
)

pytestmark = pytest.mark.browser

SEEN_WITHIN_MS = 6_000
"""Milliseconds within which one sees what the other did: it is asked for every three seconds."""


@pytest.fixture
def accepted(transactional_db):
    """An accepted quote in a shop that has every part."""
    ShopFactory.create()
    load_catalogue()
    desk = UserFactory.create(desk=True, first_name="Bea", last_name="Lund")
    revision = start_quote(inspected(desk, FOUND | DEEP), desk)
    send(revision, desk)
    lines = [line for line in revision.lines.all() if line.kind in DECIDABLE and not line.left_out]
    record_answer(revision, decided_by="Ms Vane", by=desk, accepted_lines={e.pk for e in lines})
    for part in Part.objects.filter(pk__in=[line.part_id for line in lines if line.part_id]):
        come_in(part, 5, by=desk)
    return revision


@pytest.fixture
def phones(chromium, live_server):
    """Opens a phone on which a person is signed in; a script's error fails the test."""
    opened, errors = [], []

    def run(**person: object) -> Page:
        context = chromium.new_context(base_url=live_server.url, locale="en-GB", **PHONE)
        context.set_default_timeout(10_000)
        page: Page = context.new_page()
        page.on("pageerror", lambda error: errors.append(str(error)))
        sign_in(page, UserFactory.create(**person))
        opened.append(context)
        return page

    yield run
    for context in opened:
        context.close()
    assert not errors, errors


def row(page: Page, task: Task):
    return page.locator(f"#task-{task.pk}")


def a_photo() -> FilePayload:
    return {"name": "found.jpg", "mimeType": "image/jpeg", "buffer": jpeg(640, 480)}


def open_the_card(page: Page, revision: Revision) -> JobCard:
    """The front desk opens the card from the quote's page."""
    page.goto(f"/quotes/{revision.quote.number}/{revision.number}/")
    page.get_by_role("link", name="Open the job card").first.click()
    page.get_by_label("Go ahead with extras").fill("5000")
    page.get_by_role("button", name="Open the job card").click()
    page.get_by_text("is open.").wait_for()
    return JobCard.objects.get()


def to_do(card: JobCard) -> list[Task]:
    return list(Task.objects.filter(card=card, state=TaskState.TO_DO).order_by("position"))


def draw_all(page: Page, card: JobCard) -> None:
    """Scan each part; a safety-critical one asks for its number."""
    page.goto(f"/cards/{card.pk}/parts/")
    for part in TaskPart.objects.filter(task__card=card).select_related("part"):
        while part.may_draw:
            page.get_by_label("Scan or type").fill(part.part.code)
            page.get_by_label("Scan or type").press("Enter")
            if part.part.safety_critical:
                serial = page.locator(f"#serial-{part.pk}")
                expect(serial).to_be_focused()
                serial.fill("B-2611")
                serial.press("Enter")
            page.get_by_text("Drawn:").wait_for()
            part.refresh_from_db()


def see_each_other(ada: Page, ben: Page, first: Task) -> None:
    """A tick is seen by the other within seconds, and so is whose time runs; either undoes it."""
    row(ada, first).get_by_role("button", name="Start").click()
    expect(row(ben, first)).to_contain_text("Ada Lune since", timeout=SEEN_WITHIN_MS)
    row(ada, first).get_by_role("button", name="Tick").click()
    expect(row(ada, first)).to_contain_text("Ada Lune")
    expect(row(ben, first)).to_have_attribute("data-state", "done", timeout=SEEN_WITHIN_MS)
    expect(row(ben, first)).to_contain_text("Ada Lune")
    expect(ben.locator("#card-head")).to_contain_text("1 of ")
    row(ben, first).get_by_role("button", name="Undo").click()
    expect(row(ada, first)).to_have_attribute("data-state", "to_do", timeout=SEEN_WITHIN_MS)
    ada.locator("#card-foot").get_by_role("button", name="Done").click()
    expect(row(ada, first)).to_have_attribute("data-state", "done")


def tick_at_once(ada: Page, ben: Page, task: Task) -> None:
    """Both tick one task: one wins, the other is told by whom."""
    ben.route("**/live/*", lambda route: route.abort())
    row(ada, task).get_by_role("button", name="Tick").click()
    expect(row(ada, task)).to_have_attribute("data-state", "done")
    row(ben, task).get_by_role("button", name="Tick").click()
    expect(row(ben, task)).to_contain_text("Ada Lune has ticked it at")
    row(ben, task).get_by_role("button", name="Take note").click()
    ben.unroute("**/live/*")
    expect(row(ben, task)).to_have_attribute("data-state", "done", timeout=SEEN_WITHIN_MS)
    done_by = Task.objects.get(pk=task.pk).done_by
    assert done_by is not None
    assert done_by.first_name == "Ada"


def tick_in_a_dead_spot(ada: Page, ben: Page, card: JobCard, tasks: list[Task]) -> None:
    """What is ticked without a connection waits, outlives a reload, and is sent once, in order."""
    wait_until_kept(ben, card)
    ben.context.set_offline(True)
    for task in tasks:
        row(ben, task).get_by_role("button", name="Tick").click()
        expect(row(ben, task)).to_contain_text("waiting to be sent")
    ben.reload()
    expect(row(ben, tasks[0])).to_contain_text("waiting to be sent")
    assert not Task.objects.filter(pk__in=[each.pk for each in tasks], state="done").exists()
    ben.context.set_offline(False)
    nothing_waits(ben)
    for task in tasks:
        expect(row(ada, task)).to_have_attribute("data-state", "done", timeout=SEEN_WITHIN_MS)
        expect(row(ada, task)).to_contain_text("Ben Orr")
    done = CardEvent.objects.filter(card=card, action="tick", by__first_name="Ben")
    assert list(done.order_by("pk").values_list("subject", flat=True)) == [t.pk for t in tasks]


def find_extra(page: Page, other: Page, card: JobCard) -> None:
    """Extra work within what was agreed goes ahead; both see its tasks."""
    page.locator("#card-foot").get_by_role("link", name="Extra work").click()
    page.get_by_role("link", name="Grips", exact=True).click()
    page.locator("[name=fault]").first.check()
    page.locator("input[type=file]").set_input_files(a_photo())
    page.get_by_role("button", name="Report it").click()
    page.get_by_text("goes ahead").wait_for()
    assert ExtraWork.objects.get().state == "agreed"
    added = Task.objects.filter(card=card, revision_number=2, kind=TaskKind.WORK).get()
    expect(row(other, added)).to_be_visible(timeout=SEEN_WITHIN_MS)


def read_torque(page: Page, card: JobCard, task: Task) -> None:
    """The torque is judged as it is typed, in the unit of the wrench; then the task is ticked."""
    row(page, task).get_by_role("link").first.click()
    page.locator("[name=torque]").fill("900")
    page.locator("[name=unit][value='lbf·in']").check()
    expect(page.locator("#verdicts")).to_contain_text("too tight")
    low, high = task.figure
    page.locator("[name=torque]").fill(str(low or high))
    page.locator("[name=unit][value='N·m']").check()
    expect(page.locator("#verdicts")).to_contain_text("as it should be")
    page.get_by_role("button", name="Keep the readings").click()
    page.get_by_text("The readings are kept.").wait_for()
    page.get_by_role("button", name="Done").click()
    page.wait_for_url(re.compile(f"/cards/{card.pk}/(#.*)?$"))


def tick_the_rest(card: JobCard, *pages: Page) -> None:
    """The rest is ticked in turns; all see that the release check comes next."""
    for number, task in enumerate(to_do(card)):
        page = pages[number % len(pages)]
        row(page, task).get_by_role("button", name="Tick").click()
        expect(row(page, task)).to_have_attribute("data-state", "done")
    for page in pages:
        head = page.locator("#card-head")
        expect(head).to_contain_text("to be checked", timeout=SEEN_WITHIN_MS)
        expect(page.get_by_role("link", name="To the release check")).to_be_visible()
    card.refresh_from_db()
    assert card.state == "checking"
    assert not card.tasks.exclude(state__in=(TaskState.DONE, TaskState.DROPPED)).exists()


def sign_and_release(page: Page, card: JobCard) -> None:
    """Somebody who did none of the work signs each item, and lets the bike go."""
    page.goto(f"/cards/{card.pk}/")
    page.get_by_role("link", name="To the release check").click()
    items = page.get_by_role("button", name="Good: sign")
    items.first.wait_for()
    for left in range(items.count(), 0, -1):
        expect(items).to_have_count(left)
        items.first.click()
    page.get_by_role("button", name="Release the bike").click()
    expect(page.get_by_text("is released.").first).to_be_visible()
    card.refresh_from_db()
    assert card.state == "released"
    assert card.bike.stage == "released"


def test_two_mechanics_take_a_card_from_opening_to_release(accepted, phones):
    card = open_the_card(phones(desk=True), accepted)
    ada = phones(first_name="Ada", last_name="Lune")
    ben = phones(first_name="Ben", last_name="Orr")
    ada.get_by_role("link", name=re.compile(card.number)).first.click()
    ben.goto(f"/cards/{card.pk}/")
    first, second, *more = to_do(card)[:4]
    see_each_other(ada, ben, first)
    tick_at_once(ada, ben, second)
    tick_in_a_dead_spot(ada, ben, card, more)
    find_extra(ada, ben, card)
    for each in TaskPart.objects.filter(task__card=card).select_related("part"):
        come_in(each.part, 5)
    draw_all(ada, card)
    assert not [each for each in TaskPart.objects.filter(task__card=card) if each.may_draw]
    assert all(each.serial for each in Drawn.objects.filter(row__part__safety_critical=True))
    read_torque(ben, card, next(each for each in to_do(card) if each.has_torque))
    ada.goto(f"/cards/{card.pk}/")
    tick_the_rest(card, ada, ben)
    sign_and_release(phones(manager=True), card)


def test_without_a_script_a_card_is_ticked_by_plain_forms(accepted, chromium, live_server, phones):
    card = open_the_card(phones(desk=True), accepted)
    context = chromium.new_context(base_url=live_server.url, java_script_enabled=False, **PHONE)
    page = context.new_page()
    sign_in(page, UserFactory.create(first_name="Ada", last_name="Lune"))
    page.goto(f"/cards/{card.pk}/")
    first = to_do(card)[0]
    row(page, first).get_by_role("button", name="Tick").click()
    expect(row(page, first)).to_have_attribute("data-state", "done")
    row(page, first).get_by_role("button", name="Undo").click()
    expect(row(page, first)).to_have_attribute("data-state", "to_do")
    context.close()
