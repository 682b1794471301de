"""Forms that can't wait to be sent: without a connection they say so and keep what is in them."""

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from tests.browser.pages import sign_in
from tests.factories.inspections import CheckpointFactory, FaultFactory, InspectionFactory, jpeg
from workshop.inspections.models import Check
from workshop.jobcards import hooks
from workshop.jobcards.models import ExtraWork

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def notice(page, form):
    return page.locator(f"#{form} [data-no-connection]")


def lose_connection(page, form):
    """Go offline once the page's script listens."""
    expect(page.locator(f"#{form}[data-connection=there]")).to_be_attached()
    page.context.set_offline(True)


@pytest.fixture(autouse=True)
def _nobody_above(monkeypatch):
    """Only the bench: nobody prices what is reported."""
    monkeypatch.setattr(hooks, "_askers", [])


@pytest.fixture
def crack(tom):
    return FaultFactory.create(code="crack", name="Crown cracked")


def test_extra_work_keeps_what_was_entered(phone, card, crack):
    phone.goto(reverse("jobcards:extra_at", args=(card.pk, crack.checkpoint.code)))
    expect(notice(phone, "extra")).to_be_hidden()
    phone.check("[name=fault][value=crack]")
    phone.fill("[name=note]", "seen from below")
    phone.set_input_files(
        "[name=photos]", {"name": "it.jpg", "mimeType": "image/jpeg", "buffer": jpeg()}
    )
    lose_connection(phone, "extra")
    phone.get_by_role("button", name="Report it").click()
    expect(phone.locator("#extra:not([data-asked])")).to_be_attached()  # it asked, in vain
    expect(notice(phone, "extra")).to_be_visible()
    expect(phone.locator("[name=note]")).to_have_value("seen from below")
    phone.context.set_offline(False)
    expect(notice(phone, "extra")).to_be_hidden()
    phone.get_by_role("button", name="Report it").click()
    phone.wait_for_url(f"**{reverse('jobcards:card', args=(card.pk,))}")
    extra = ExtraWork.objects.get()
    assert extra.finding.check_made.note == "seen from below"
    assert extra.finding.check_made.photos.count() == 1


def test_the_walk_says_so_and_goes_on_from_there(phone_page, tom):
    point = CheckpointFactory.create(code="bell")
    walk = InspectionFactory.create(bike__stage="inspecting")
    sign_in(phone_page, tom)
    phone_page.goto(reverse("inspections:checkpoint", args=(walk.pk, point.code)))
    phone_page.fill("[name=note]", "rusty")
    lose_connection(phone_page, "check")
    phone_page.get_by_role("button", name="Save").click()
    expect(notice(phone_page, "check")).to_be_visible()
    expect(phone_page.locator("[name=note]")).to_have_value("rusty")
    assert not Check.objects.exists()
    phone_page.context.set_offline(False)
    phone_page.get_by_role("button", name="Sound").click()
    phone_page.wait_for_url(f"**{reverse('inspections:overview', args=(walk.pk,))}")
    assert Check.objects.get().checkpoint == point
