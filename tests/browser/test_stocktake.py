"""A stocktake on a phone: scan, count blind, see the differences, while the shop goes on."""

from __future__ import annotations

import re
from decimal import Decimal

import pytest
from playwright.sync_api import BrowserContext, Page, expect

from inventory.parts.models import Part
from inventory.stock.checking import problems
from inventory.stock.models import StockLevel, Stocktake
from inventory.stock.verbs.draw import draw
from tests.browser.offline.spot import until
from tests.browser.pages import sign_in
from tests.factories.people import UserFactory
from tests.factories.shop import ShopFactory
from tests.factories.stock import stocked
from workshop.people.models import User

pytestmark = [pytest.mark.django_db(transaction=True)]
GTIN = "6291041500213"

READS_BARCODES = """
window.seen = "";
window.BarcodeDetector = class {
  static async getSupportedFormats() { return ["ean_13", "qr_code", "aztec"]; }
  constructor(options) { window.formats = options.formats; }
  async detect(source) {
    if (!(source instanceof HTMLVideoElement) || source.paused) throw new Error("no picture");
    return window.seen ? [{ rawValue: window.seen }] : [];
  }
};
"""
"""A reader of barcodes as the browser has one on a phone; what it sees is said by ``seen``."""
HAS_A_CAMERA = """
navigator.mediaDevices.getUserMedia = async () => {
  const picture = document.createElement("canvas");
  picture.getContext("2d").fillRect(0, 0, 9, 9);
  window.film = picture.captureStream(5);
  return window.film;
};
"""
HAS_NO_CAMERA = """
navigator.mediaDevices.getUserMedia = async () => { throw new Error("not allowed"); };
"""


@pytest.fixture
def shelf(db: None) -> list[Part]:
    """Three parts at a place, and people."""
    ShopFactory.create()
    return [
        stocked(5, code="hub", name="Front hub", place="A1", unit="pc", gtin=GTIN),
        stocked(7, code="rim", name="Rim tape", place="A1", unit="pc"),
        stocked(2, code="spoke", name="Spoke, 184 mm", place="A1", unit="pc"),
    ]


@pytest.fixture
def taking(shelf: list[Part], phone_page: Page) -> Page:
    """A mechanic's phone at the open count of the place."""
    begin(phone_page, UserFactory.create())
    return phone_page


def begin(page: Page, person: User) -> None:
    """Sign in and begin the count of place A1."""
    sign_in(page, person)
    page.goto("/stock/stocktakes/")
    page.get_by_role("button", name="Count A1").click()
    page.wait_for_url(re.compile(r"/stocktakes/\d+/$"))


def cursor_waits(page: Page) -> None:
    """Wait until the cursor is in a field, where the page puts it."""
    expect(page.locator("main input:focus")).to_have_count(1)


def scan(page: Page, code: str) -> None:
    """Do as a scanner does that types: the code, then Enter."""
    cursor_waits(page)
    page.keyboard.type(code)
    page.keyboard.press("Enter")
    page.wait_for_url("**q=**")


def note(page: Page, counted: str) -> None:
    """Type how many were counted and press Enter; the cursor waits for it."""
    cursor_waits(page)
    page.keyboard.type(counted)
    page.keyboard.press("Enter")
    page.wait_for_url(re.compile(r"/stocktakes/\d+/$"))


def on_hand(part: Part) -> Decimal:
    """How many there are by the ledger."""
    return StockLevel.objects.get(part=part).on_hand


def test_a_place_is_counted_by_scanner_and_keyboard_alone_while_the_shop_works(
    taking: Page, shelf: list[Part], wide_page: Page
) -> None:
    hub = shelf[0]
    scan(taking, GTIN)
    expect(taking.locator(".card")).to_have_count(1)
    expect(taking.locator("main")).not_to_contain_text(re.compile(r"\b5\b"))  # a blind count
    note(taking, "4")
    expect(taking.locator("main")).to_contain_text("Counted: Front hub")
    expect(taking.locator("main")).to_contain_text("1 of 3")

    draw(hub, quantity=Decimal(2), by=UserFactory.create(), key="meanwhile")

    scan(taking, "rim")
    note(taking, "7")
    assert [on_hand(each) for each in shelf] == [3, 7, 2]  # nothing is booked before approval

    sign_in(wide_page, UserFactory.create(manager=True))
    wide_page.goto("/stock/stocktakes/")
    wide_page.get_by_role("link", name="Differences at A1").click()
    row = wide_page.locator("tbody tr")
    expect(row).to_have_count(1)
    expect(row).to_contain_text("Front hub")
    expect(row).to_contain_text("-1")
    expect(wide_page.locator("main")).to_contain_text("1 agree")
    expect(wide_page.locator("main")).to_contain_text("Spoke, 184 mm")
    wide_page.get_by_role("button", name="Approve and book").click()
    expect(wide_page.locator("main")).to_contain_text("1 corrections are booked")
    assert [on_hand(each) for each in shelf] == [2, 7, 2]
    assert Stocktake.objects.get().closed_at is not None
    assert list(problems()) == []


def test_the_count_is_no_wider_than_the_phone_and_its_targets_fit_a_thumb(taking: Page) -> None:
    wider = "document.documentElement.scrollWidth - document.documentElement.clientWidth"
    assert taking.evaluate(wider) <= 0
    for target in taking.locator("main button:visible, main input:visible").all():
        box = target.bounding_box()
        assert box is not None
        assert box["height"] >= 44


def test_without_a_reader_of_barcodes_no_camera_is_offered(taking: Page) -> None:
    expect(taking.get_by_role("button", name="Scan with the camera")).to_have_count(0)


def test_the_camera_reads_a_code_and_the_part_is_there(phone_page: Page, shelf: list[Part]) -> None:
    phone_page.add_init_script(READS_BARCODES + HAS_A_CAMERA)
    begin(phone_page, UserFactory.create())
    phone_page.get_by_role("button", name="Scan with the camera").click()
    expect(phone_page.get_by_role("dialog")).to_contain_text("Hold the code")
    phone_page.evaluate(f"window.seen = '{GTIN}'")
    phone_page.wait_for_url(f"**q={GTIN}")
    expect(phone_page.locator(".card")).to_have_count(1)
    note(phone_page, "5")
    expect(phone_page.locator("main")).to_contain_text("Counted: Front hub")


def test_the_camera_is_let_go_when_somebody_stops(phone_page: Page, shelf: list[Part]) -> None:
    phone_page.add_init_script(READS_BARCODES + HAS_A_CAMERA)
    begin(phone_page, UserFactory.create())
    phone_page.get_by_role("button", name="Scan with the camera").click()
    until(phone_page, "() => window.formats && window.formats.join() === 'ean_13,qr_code'")
    phone_page.get_by_role("button", name="Stop").click()
    expect(phone_page.get_by_role("dialog")).to_have_count(0)
    until(phone_page, "() => window.film.getTracks()[0].readyState === 'ended'")


def test_a_camera_that_is_not_allowed_is_said(phone_page: Page, shelf: list[Part]) -> None:
    phone_page.add_init_script(READS_BARCODES + HAS_NO_CAMERA)
    begin(phone_page, UserFactory.create())
    phone_page.get_by_role("button", name="Scan with the camera").click()
    expect(phone_page.get_by_role("dialog")).to_contain_text("type the code")
    phone_page.keyboard.press("Escape")
    expect(phone_page.get_by_role("dialog")).to_have_count(0)


def test_the_count_works_without_scripts(
    chromium: object, live_server: object, shelf: list[Part]
) -> None:
    context: BrowserContext = chromium.new_context(  # type: ignore[attr-defined] # Playwright's
        base_url=live_server.url,  # type: ignore[attr-defined] # pytest-django's
        java_script_enabled=False,
        locale="en-GB",
    )
    page = context.new_page()
    try:
        begin(page, UserFactory.create())
        scan(page, "hub")
        note(page, "5")
        expect(page.locator("main")).to_contain_text("Counted: Front hub")
    finally:
        context.close()
