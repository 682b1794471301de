"""A draft and its answer in Chromium: changes in place, nothing wider than the screen."""

import pytest
from playwright.sync_api import expect

from quotes.quoting.models import Revision
from quotes.quoting.verbs.send import send
from tests.factories import quotes as made
from tests.factories.people import PASSWORD, UserFactory

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def draft():
    """A draft by a manager with a finding that has two remedies, and one more."""
    made.priced_shop()
    play = made.fault(
        "play",
        made.remedy("adjust", part="cones", access="wheel-out"),
        made.remedy("renew", minutes="45"),
    )
    rim = made.fault("rim", made.remedy("cure-rim", access="wheel-out"))
    return made.draft(play, rim, by=UserFactory.create(manager=True))


def sign_in(page, draft):
    page.goto("/sign-in/")
    page.fill("[name=username]", draft.created_by.username)
    page.fill("[name=password]", PASSWORD)
    page.click("main button[type=submit]")


def fits(page):
    width = page.evaluate("document.documentElement.scrollWidth")
    return width <= page.viewport_size["width"]


def test_a_remedy_is_chosen_in_place_on_a_phone(phone_page, draft):
    page = phone_page
    sign_in(page, draft)
    page.goto("/quotes/Q0001/1/")
    assert fits(page)
    foot = page.locator("#quote-foot")
    expect(foot).to_contain_text("£41.28")
    page.get_by_role("link", name="Change remedy").first.click()
    page.get_by_label("Renew: +£19.20 on the total").check()
    assert fits(page)
    page.get_by_role("button", name="Keep it").click()
    expect(foot).to_contain_text("£60.48")
    expect(page.locator("#messages")).to_contain_text("kept")
    assert page.url.endswith("/quotes/Q0001/1/")


def test_an_error_is_shown_in_the_panel_and_cancelling_closes_it(wide_page, draft):
    page = wide_page
    sign_in(page, draft)
    page.goto("/quotes/Q0001/1/")
    page.get_by_role("link", name="Change Adjust work").click()
    panel = page.locator(".line .panel form")
    panel.get_by_label("Minutes").fill("soon")
    panel.get_by_role("button", name="Keep it").click()
    expect(panel).to_contain_text("This is not a number")
    expect(page.locator("#quote-body")).to_contain_text("Getting at it")
    panel.get_by_role("link", name="Cancel").click()
    expect(panel).to_have_count(0)


def test_ticks_at_the_counter_change_the_total_in_place(phone_page, draft):
    send(draft, draft.created_by)
    page = phone_page
    sign_in(page, draft)
    page.goto("/answers/Q0001/1/")
    assert fits(page)
    foot = page.locator("#answer-foot")
    expect(foot).to_contain_text("0 of 3 accepted")
    page.get_by_label("Cure rim work").check()
    expect(foot).to_contain_text("£17.28")
    page.get_by_role("button", name="everything").click()
    expect(foot).to_contain_text("£41.28")
    page.get_by_role("button", name="Record the answer").click()
    expect(page.locator("main")).to_contain_text("The answer is recorded.")
    assert Revision.objects.get().state == "accepted"
