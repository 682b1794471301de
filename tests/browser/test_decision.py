"""The buy-in decision on a phone: live as the price slides, and all of it without JavaScript."""

from __future__ import annotations

from decimal import Decimal

import pytest

from quotes.deciding.models import DecisionSheet
from tests.conftest import PHONE
from tests.factories import quotes as made
from tests.factories.people import PASSWORD, UserFactory
from tests.factories.planning import hidden_risk
from tests.factories.resale import on_a_line

pytestmark = pytest.mark.browser


@pytest.fixture
def offered(transactional_db):
    """A bike offered for 60 of which ten prices are known, and the manager's name."""
    made.priced_shop(target_margin_net=Decimal(80))
    revision = made.draft(
        made.fault("hub-play", made.remedy("hub-adjust", part="cones")), asking_price=Decimal(60)
    )
    bike = revision.quote.bike
    on_a_line(10, make=bike.make, model=bike.model)
    hidden_risk("rust-under-paint")
    return bike, UserFactory.create(manager=True).username


def sign_in(page, name):
    page.goto("/")
    page.get_by_label("Username").fill(name)
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    page.wait_for_load_state()


def slide_to(page, price):
    """Move the slider as a thumb does: the value changes and the browser tells of it."""
    page.get_by_label("Slide the price").evaluate(
        "(slider, price) => { slider.value = price;"
        " slider.dispatchEvent(new Event('input', {bubbles: true})); }",
        str(price),
    )


def test_the_slider_changes_the_verdict(phone_page, offered):
    bike, name = offered
    sign_in(phone_page, name)
    phone_page.goto(f"/bikes/{bike.pk}/")
    phone_page.get_by_role("link", name="Decide whether to buy").first.click()
    verdict = phone_page.locator("#verdict")
    verdict.get_by_text("Buy it").wait_for()
    slide_to(phone_page, 270)
    verdict.get_by_text("Haggle").wait_for()
    assert phone_page.get_by_label("Price asked").input_value() == "270"
    assert "Haggle at £270.00" in phone_page.locator("#said").text_content()
    slide_to(phone_page, 420)
    verdict.get_by_text("Leave it").wait_for()
    slide_to(phone_page, 40)
    verdict.get_by_text("Buy it").wait_for()
    assert phone_page.evaluate("document.documentElement.scrollWidth") <= 390


def test_the_number_moves_the_slider_and_what_is_shown_is_saved(phone_page, offered):
    bike, name = offered
    sign_in(phone_page, name)
    phone_page.goto(f"/buy-in/bikes/{bike.pk}/decision/")
    phone_page.get_by_label("Price asked").fill("270")
    phone_page.locator("#verdict").get_by_text("Haggle").wait_for()
    assert phone_page.get_by_label("Slide the price").input_value() == "270"
    ceiling = phone_page.locator(".key-figures .big-number").first.text_content()
    phone_page.get_by_role("button", name="Save this decision sheet").click()
    phone_page.get_by_role("link", name="Decision sheet", exact=True).click()
    phone_page.locator("#verdict").get_by_text("Haggle").wait_for()
    assert phone_page.locator(".key-figures .big-number").first.text_content() == ceiling
    assert DecisionSheet.objects.get().check_made.purchase_price == 270


def test_without_javascript_there_is_a_decision_all_the_same(chromium, live_server, offered):
    bike, name = offered
    context = chromium.new_context(base_url=live_server.url, java_script_enabled=False, **PHONE)
    page = context.new_page()
    sign_in(page, name)
    page.goto(f"/buy-in/bikes/{bike.pk}/decision/")
    assert page.locator("#verdict").inner_text() == "Buy it"
    assert page.locator("#price-slider").is_hidden()
    page.get_by_label("Price asked").fill("420")
    page.get_by_role("button", name="Work it out").first.click()
    page.wait_for_url("**purchase_price=420**")
    assert page.locator("#verdict").inner_text() == "Leave it"
    page.get_by_role("button", name="Save this decision sheet").click()
    page.get_by_role("link", name="Decision sheet", exact=True).click()
    assert page.locator("#verdict").inner_text() == "Leave it"
    page.get_by_text("The figures as a table").first.click()
    assert page.locator(".chart table").first.is_visible()
    context.close()
