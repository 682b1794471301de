"""The release check on a phone: signed in place or without a script, and open to everybody."""

import re

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.urls import reverse
from playwright.sync_api import expect

from tests.browser.pages import sign_in, visit
from tests.conftest import PHONE
from tests.factories import jobcards as made
from tests.factories.labels import label_size
from tests.factories.people import UserFactory
from tests.factories.shop import ShopFactory
from workshop.jobcards.models import JobCard, ReleaseCheck, Task
from workshop.jobcards.verbs.tick import tick

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
PRINTED = 60_000
"""Milliseconds; with the release the first PDF of the process is made."""
RULES = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]}


@pytest.fixture
def ben(transactional_db):
    return UserFactory.create(first_name="Ben", last_name="Orr")


@pytest.fixture
def card(ben):
    """A card that is to be checked; Ada did the work."""
    ShopFactory.create()
    ada = UserFactory.create(first_name="Ada", last_name="Lune")
    found = made.a_card()
    for task in Task.objects.filter(card=found).order_by("position"):
        tick(task, by=ada, key=made.a_key(), base_version=task.version)
    for code in ("brakes", "steering"):
        made.release_item(code)
    return JobCard.objects.get(pk=found.pk)


def check(page, card):
    visit(page, reverse("jobcards:release", args=(card.pk,)))


def test_items_are_signed_taken_back_and_the_bike_goes(phone_page, ben, card):
    sign_in(phone_page, ben)
    check(phone_page, card)
    brakes = phone_page.locator("li.signing").first
    brakes.get_by_text("Add a note").click()
    brakes.get_by_label("Note on Brakes").fill("Left lever a bit long.")
    brakes.get_by_role("button", name="Good: sign Brakes").click()
    expect(phone_page.get_by_text("1 of 2 signed")).to_be_visible()
    expect(phone_page.get_by_text("Left lever a bit long.")).to_be_visible()
    expect(phone_page.get_by_role("button", name="Good: sign Steering")).to_be_focused()
    phone_page.get_by_role("button", name="Take back the signature of Brakes").click()
    expect(phone_page.get_by_text("0 of 2 signed")).to_be_visible()
    for name in ("Brakes", "Steering"):
        phone_page.get_by_role("button", name=f"Good: sign {name}").click()
        expect(phone_page.get_by_role("button", name=f"Good: sign {name}")).to_have_count(0)
    expect(phone_page.get_by_text("Nothing stands in the way")).to_be_visible()
    phone_page.get_by_role("button", name="Release the bike").click()
    gone = phone_page.get_by_text(re.compile(r"Released .* by Ben Orr"))
    expect(gone).to_be_visible(timeout=PRINTED)
    assert not JobCard.objects.get(pk=card.pk).is_open


def test_what_another_signed_meanwhile_is_told_without_losing_what_is_typed(phone_page, ben, card):
    sign_in(phone_page, ben)
    check(phone_page, card)
    brakes = phone_page.locator("li.signing").first
    brakes.get_by_text("Add a note").click()
    brakes.get_by_label("Note on Brakes").fill("Half a sen")
    JobCard.objects.filter(pk=card.pk).update(version=card.version + 1)
    told = phone_page.get_by_text("The card was changed meanwhile.")
    expect(told).to_be_visible(timeout=15_000)
    expect(brakes.get_by_label("Note on Brakes")).to_have_value("Half a sen")


def test_without_a_script_it_goes_as_well(chromium, live_server, ben, card):
    context = chromium.new_context(
        base_url=live_server.url, locale="en-GB", java_script_enabled=False, **PHONE
    )
    page = context.new_page()
    sign_in(page, ben)
    check(page, card)
    for name in ("Brakes", "Steering"):
        page.get_by_role("button", name=f"Good: sign {name}").click()
    assert {each.by for each in ReleaseCheck.objects.all()} == {ben}
    page.get_by_role("button", name="Release the bike").click(timeout=PRINTED)
    page.get_by_text(re.compile(r"Released .* by Ben Orr")).wait_for(timeout=PRINTED)
    context.close()


def test_the_pages_keep_axes_rules_and_fit_the_narrowest_phone(phone_page, card):
    label_size()
    sign_in(phone_page, UserFactory.create(manager=True))
    other = made.a_card(made.asked(made.operation("bell")))
    pages = (
        reverse("jobcards:release", args=(card.pk,)),
        reverse("jobcards:pen", args=(other.pk,)),
        reverse("labels:bikes"),
        reverse("labels:parts"),
        reverse("catalogue:new", args=("label-sizes",)),
    )
    wrong = {}
    for address in pages:
        visit(phone_page, address)
        broken = Axe().run(phone_page, options=RULES).response["violations"]
        phone_page.set_viewport_size({"width": 320, "height": 700})
        wide = phone_page.evaluate("document.documentElement.scrollWidth") > 320
        phone_page.set_viewport_size(PHONE["viewport"])
        if broken or wide:
            wrong[address] = [each["id"] for each in broken], wide
    assert wrong == {}
