"""Readings and parts where there is no connection, from the page of the task."""

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from tests.browser.offline.spot import line, note, nothing_waits, press, row, until
from tests.factories import jobcards as made
from workshop.jobcards.models import AfterReading, Drawn, TimeSpan

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def card(tom):
    """A card whose hub has a torque to reach and cones to draw."""
    return made.a_card()


@pytest.fixture
def bench(phone, card):
    """The phone with the hub's own page on it, kept as well."""
    address = reverse("jobcards:task", args=(card.pk, made.task_of(card, "hub").pk))
    phone.goto(address)
    until(phone, "async path => Boolean(await caches.match(path, { ignoreVary: true }))", address)
    return phone


def note_torque(page, figure):
    page.locator("[name=torque]").fill(figure)
    page.get_by_role("button", name="Keep the readings").click()


class TestReadings:
    def test_are_kept_and_sent_once(self, bench, card):
        bench.context.set_offline(True)
        note_torque(bench, "20")
        expect(line(bench, "waiting")).to_contain_text("Waiting to be sent: 1")
        expect(bench.locator("[name=torque]")).to_have_value("")
        bench.reload()
        expect(line(bench, "waiting")).to_contain_text("Waiting to be sent: 1")
        bench.context.set_offline(False)
        nothing_waits(bench)
        read = AfterReading.objects.get()
        assert (read.value, read.judgement) == (20, "sound")
        expect(bench.get_by_text("Read so far")).to_be_visible()

    def test_what_was_typed_wrong_is_said_in_words_and_not_lost(self, bench, card):
        bench.context.set_offline(True)
        note_torque(bench, "9999999")
        bench.context.set_offline(False)
        expect(note(bench)).to_contain_text("Not done")
        expect(note(bench)).to_contain_text("9999999")
        expect(note(bench)).to_contain_text("orque")
        assert not AfterReading.objects.exists()

    def test_with_a_connection_what_is_wrong_is_said_beside_the_field(self, bench, card):
        note_torque(bench, "9999999")
        expect(bench.locator("[name=torque]")).to_have_value("9999999")
        expect(bench.locator("[name=torque]")).to_have_attribute("aria-invalid", "true")
        note_torque(bench, "20")
        expect(bench.get_by_text("The readings are kept.")).to_be_visible()
        assert AfterReading.objects.count() == 1


def test_a_part_is_drawn_once_though_the_reply_was_lost(bench, card):
    def lose(route):
        route.fetch()
        route.abort("connectionreset")

    bench.context.set_offline(True)
    bench.get_by_role("button", name="Draw").click()
    expect(line(bench, "waiting")).to_contain_text("Waiting to be sent: 1")
    bench.context.route("**/draw/", lose, times=1)
    bench.context.set_offline(False)
    nothing_waits(bench)
    assert [each.quantity for each in Drawn.objects.all()] == [2]
    assert made.row_of(card, "cones").drawn == 2


def test_time_is_as_long_as_it_was(phone, card, tom):
    """Begun and paused where there is no connection: the minutes are those in between."""
    phone.context.set_offline(True)
    press(phone, card, "rim", "Start")
    phone.wait_for_timeout(3000)
    press(phone, card, "rim", "Pause")
    expect(row(phone, card, "rim").get_by_role("button", name="Start")).to_be_visible()
    phone.wait_for_timeout(1500)
    phone.context.set_offline(False)
    nothing_waits(phone)
    span = TimeSpan.objects.get()
    assert span.person == tom
    assert 2 <= (span.stopped_at - span.started_at).total_seconds() < 5
