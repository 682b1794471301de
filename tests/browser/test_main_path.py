"""The whole main job in a browser of a phone's size: bike on the stand to PDF and margin check."""

from __future__ import annotations

import io
import re
from decimal import Decimal
from urllib.parse import urlsplit

import pytest
from PIL import Image

from quotes.quoting.models import Revision
from tests.factories.people import PASSWORD, UserFactory
from tests.factories.shop import ShopFactory
from tests.pdfs import words_of
from workshop.catalogue.loading import load_catalogue
from workshop.inspections.models import Finding, Inspection

pytestmark = pytest.mark.browser

MONEY = re.compile(r"[-−]?£([\d,]+\.\d\d)")


@pytest.fixture
def phone(phone_page, transactional_db):
    """A manager signed in on a phone, in a shop with its catalogue loaded."""
    ShopFactory.create()
    load_catalogue()
    person = UserFactory.create(manager=True)
    phone_page.goto("/")
    phone_page.get_by_label("Username").fill(person.username)
    phone_page.get_by_label("Password").fill(PASSWORD)
    phone_page.get_by_role("button", name="Sign in").click()
    phone_page.get_by_role("link", name="Book in a bike").first.click()
    return phone_page


def book_in(page, *, frame_number, asking):
    """Book in a folding bike from the form at the counter."""
    page.get_by_label("offered to us").check()
    texts = {
        "asking_price": asking,
        "make": "Marlfold",
        "model": "Packhorse",
        "maker_year": "2014",
        "frame_number": frame_number,
        "new_name": "Ottilie Brand",
    }
    for name, text in texts.items():
        page.locator(f"[name={name}]").fill(text)
    page.locator("[name=frame][value=folding]").check()
    page.locator("[name=brake][value=rim]").check()
    page.locator("[name=gears][value=derailleur]").check()
    page.locator("[name=use][value=everyday]").check()
    page.get_by_role("button", name="Book in", exact=True).click()


def choose(page, fault):
    """Tick a fault on the checkpoint's page."""
    page.locator(f"[name=faults][value={fault}]").check()


def a_picture():
    """A photo as a phone's camera would give it."""
    file = io.BytesIO()
    Image.new("RGB", (640, 480), "#8a5a3c").save(file, "JPEG")
    return {"name": "hinge.jpg", "mimeType": "image/jpeg", "buffer": file.getvalue()}


def hinge_by_gauge(page):
    """A reading that the rules judge by the bike's age: a trace on an old bike is watched."""
    page.locator("[name=reading-main-hinge-play]").fill("0,15")


def pads_seen(page):
    """A fault seen, with note and photo."""
    choose(page, "front-blocks-worn")
    page.get_by_label("Note").fill("Hard as wood.")
    page.locator("input[type=file]").first.set_input_files(a_picture())


def chain_worn(page):
    """A reading in inches: an even sixteenth past twelve, where the chain is renewed."""
    page.locator("[name=reading-chain-length]").fill("12 1/16 in")


def clamp_unsafe(page):
    """A fault that the rules judge unsafe."""
    choose(page, "main-clamp-weak")


def saddle_judged_otherwise(page):
    """A fault judged otherwise than the rules, with a reason."""
    choose(page, "saddle-torn")
    row = page.locator("li.fault", has=page.locator("[value=saddle-torn]"))
    row.get_by_text("Judge it otherwise").click()
    row.locator("select").select_option("needs_work")
    row.locator("input[type=text], textarea").last.fill("The rider sits on the seam.")


def noise_by_hand(page):
    """A fault that the catalogue has no remedy for."""
    choose(page, "road-test-noise")


FOUND = {
    "front-rim-brake": pads_seen,
    "main-hinge": hinge_by_gauge,
    "main-clamp": clamp_unsafe,
    "saddle": saddle_judged_otherwise,
    "chain": chain_worn,
    "road-test": noise_by_hand,
}
NOT_TESTED = "bell"


def walk_round(page, found):
    """Go from checkpoint to checkpoint: enter what is to be found, the rest is sound."""
    left = dict(found)
    while page.locator("form#check").count():
        here = page.url
        checkpoint = urlsplit(here).path.split("/")[3]
        if checkpoint in left:
            left.pop(checkpoint)(page)
            page.get_by_role("button", name="Save").click()
        elif checkpoint == NOT_TESTED:
            page.get_by_text("Could not test it").click()
            page.locator("[name=not_tested_reason]").fill("Taken off by the seller")
            page.get_by_role("button", name="Could not test, next").click()
        else:
            page.get_by_role("button", name="Sound").click()
        page.wait_for_url(lambda url, before=here: url != before)
    assert not left, f"never met: {left}"


def amounts(text):
    """Return all amounts of money in a text."""
    return [Decimal(each.replace(",", "")) for each in MONEY.findall(text)]


def test_from_the_stand_to_a_priced_quote_its_pdf_and_a_margin_check(phone):
    book_in(phone, frame_number="MF-4471", asking="£60")
    phone.get_by_role("button", name="Start the inspection").first.click()
    phone.locator("a[href$='/walk/']").first.click()
    phone.locator("form#check").wait_for()
    walk_round(phone, FOUND)
    phone.get_by_role("button", name=re.compile("^Finish")).first.click()

    inspection = Inspection.objects.get()
    findings = list(Finding.objects.filter(check_made__inspection=inspection))
    assert {each.judgement for each in findings} == {"watch", "needs_work", "unsafe"}
    assert sum(each.judgement != each.rule_judgement for each in findings) == 1
    assert inspection.checks.filter(outcome="not_tested").count() == 1
    assert len(findings) == len(FOUND)

    phone.goto(f"/bikes/{inspection.bike_id}/")
    phone.get_by_role("button", name=re.compile("quote", re.IGNORECASE)).first.click()
    assert phone.get_by_text("priced by hand").first.is_visible()
    price_the_noise(phone)

    phone.get_by_role("link", name="Send").first.click()
    phone.get_by_role("button", name="Send it").click()
    revision = Revision.objects.get()
    assert revision.state == "sent"

    reply = phone.request.get(f"/quotes/{revision.quote.number}/1/quote.pdf")
    assert reply.headers["content-type"] == "application/pdf"
    check_paper(reply.body(), revision)
    assert phone.request.get(reply.url).body() == reply.body()

    phone.goto(f"/buy-in/bikes/{inspection.bike_id}/")
    phone.get_by_label("Expected resale price").fill("120")
    phone.get_by_role("heading", name="Leave it").wait_for()
    phone.get_by_label("Expected resale price").fill("700")
    phone.get_by_role("heading", name="Buy it").wait_for()
    phone.get_by_role("button", name="Save this check").click()
    check = inspection.bike.margin_checks.get()
    assert (check.verdict, check.purchase_price) == ("buy", 60)
    assert check.refurbishment_cost == revision_cost(revision)


def price_the_noise(phone):
    """Add a line by hand for the finding that has no remedy."""
    row = phone.locator("article", has_text="Road test")
    row.get_by_role("link", name="Add a line").click()
    form = phone.locator("form", has=phone.locator("[name=description]"))
    form.locator("[name=description]").fill("Find the noise and cure it")
    form.locator("[name=quantity]").fill("1")
    form.locator("[name=unit_price_net]").fill("18,50")
    form.locator("[name=reason]").fill("Agreed with the seller by word of mouth")
    form.locator("button[type=submit]").click()
    phone.get_by_text("Find the noise and cure it").first.wait_for()


def check_paper(pdf, revision):
    """Every finding stands on the paper, and its totals are the sums of its lines."""
    squeezed = words_of(pdf)
    for row in revision.findings.all():
        assert row.checkpoint_name in squeezed
        assert row.words in squeezed
    lines = [line for line in revision.lines.all() if not line.left_out]
    for line in lines:
        assert line.description in squeezed
        assert line.gross.quantize(Decimal("0.01")) in amounts(squeezed)
    assert sum(line.gross for line in lines) == revision.gross
    assert sum(line.net for line in lines) + sum(line.vat for line in lines) == revision.gross
    for total in (revision.net, revision.vat, revision.gross):
        assert total.quantize(Decimal("0.01")) in amounts(squeezed)
    assert "MF-4471" in squeezed


def revision_cost(revision):
    """What the lines cost the shop."""
    return sum(line.cost_net for line in revision.lines.all() if not line.left_out)


def test_a_deal_breaker_offers_no_price(phone):
    book_in(phone, frame_number="MF-4472", asking="20")
    phone.get_by_role("button", name="Start the inspection").first.click()
    inspection = Inspection.objects.get()
    phone.goto(f"/inspections/{inspection.pk}/rear-stays/")
    choose(phone, "rear-stays-bent")
    phone.get_by_role("button", name="Save").click()
    phone.wait_for_url(lambda url: "/rear-stays/" not in url)
    phone.goto(f"/inspections/{inspection.pk}/")
    assert phone.get_by_text("A deal-breaker").is_visible()
    phone.get_by_text("Finish with checkpoints open").click()
    form = phone.locator("form", has=phone.locator("[name=rest_because]"))
    form.locator("[name=rest_because]").fill("The frame is bent: no use going on")
    form.locator("button[type=submit]").click()

    phone.goto(f"/bikes/{inspection.bike_id}/")
    phone.get_by_role("button", name=re.compile("quote", re.IGNORECASE)).first.click()
    assert phone.get_by_text("no price is offered").first.is_visible()
    phone.get_by_role("link", name="Send").first.click()
    phone.get_by_role("button", name="Send it").click()
    phone.get_by_text("sent", exact=True).first.wait_for()
    reply = phone.request.get(f"/quotes/{Revision.objects.get().quote.number}/1/quote.pdf")
    text = words_of(reply.body())
    assert "no price is offered" in text.lower()
    assert not amounts(text)

    phone.goto(f"/buy-in/bikes/{inspection.bike_id}/")
    phone.get_by_label("Expected resale price").fill("900")
    phone.get_by_role("heading", name="Leave it").wait_for()
