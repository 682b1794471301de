"""Extra work from the bench: where it is, what it stops, what is told."""

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from tests.asking import queries_of
from tests.factories import jobcards as made
from tests.factories.inspections import CheckpointFactory, FaultFactory, jpeg
from workshop.jobcards import hooks
from workshop.jobcards.models import ExtraWork


@pytest.fixture(autouse=True)
def _nobody_above(monkeypatch):
    """Only this room: nobody prices what is reported."""
    monkeypatch.setattr(hooks, "_askers", [])


@pytest.fixture
def crack():
    """A fault at a place of its own."""
    return FaultFactory.create(code="crack", name="Crown cracked", default_judgement="unsafe")


def url(card, fault=None):
    if fault is None:
        return reverse("jobcards:extra", args=(card.pk,))
    return reverse("jobcards:extra_at", args=(card.pk, fault.checkpoint.code))


def photo(content=None):
    return SimpleUploadedFile("it.jpg", content or jpeg(), "image/jpeg")


def report(client, card, fault, **data):
    sent = {"key": "x1", "fault": fault.code, "note": "Seen.", "photos": [photo()]} | data
    return client.post(url(card, fault), sent)


def test_it_asks_where_it_is(client, bench, card, crack):
    html = client.get(url(card)).content.decode()
    assert url(card, crack) in html


def test_places_of_other_kinds_of_bike_are_not_asked(client, bench, card):
    other = CheckpointFactory.create(code="stays", frames=["diamond"])
    assert card.bike.frame == "folding"
    assert (
        reverse("jobcards:extra_at", args=(card.pk, other.code))
        not in client.get(url(card)).content.decode()
    )
    assert client.get(reverse("jobcards:extra_at", args=(card.pk, other.code))).status_code == 404


def test_it_stops_what_is_ticked_and_says_that_it_waits(client, bench, card, crack):
    hub, rim = made.task_of(card, "hub"), made.task_of(card, "rim")
    answer = report(client, card, crack, stops=[str(hub.pk)])
    html = client.get(answer.url).content.decode()
    assert "It waits for the customer" in html
    assert "Waits for the customer:" in html
    hub.refresh_from_db()
    rim.refresh_from_db()
    assert (hub.state, rim.state) == ("stopped", "to_do")
    assert ExtraWork.objects.get().finding.check_made.photos.count() == 1


def test_without_a_photo_it_is_not_reported(client, bench, card, crack):
    answer = report(client, card, crack, photos=[])
    assert answer.status_code == 422
    assert not ExtraWork.objects.exists()


def test_what_is_no_photo_is_refused(client, bench, card, crack):
    answer = report(client, card, crack, photos=[photo(b"not a picture")])
    assert answer.status_code == 422
    assert not ExtraWork.objects.exists()


def test_a_fault_that_stands_already_is_not_offered(client, bench, card, crack):
    report(client, card, crack)
    html = client.get(url(card, crack)).content.decode()
    assert "Nothing new here" in html
    assert report(client, card, crack, key="x2").status_code == 422
    assert ExtraWork.objects.count() == 1


def test_sent_twice_it_is_reported_once(client, bench, card, crack):
    for _ in range(2):
        assert report(client, card, crack).status_code == 302
    assert ExtraWork.objects.count() == 1


def test_tasks_at_the_same_place_are_ticked_to_begin_with(client, bench):
    inspection = made.inspected_bike()
    finding = made.found(inspection, "loose")
    other = FaultFactory.create(code="notched", checkpoint=finding.fault.checkpoint)
    made.operation("hub")
    made.operation("rim")
    work = made.asked("hub", "rim", findings={"hub": finding})
    card = made.a_card(work, inspection=inspection)
    html = client.get(url(card, other)).content.decode()
    hub, rim = made.task_of(card, "hub").pk, made.task_of(card, "rim").pk
    boxes = [line for line in html.split("<input") if 'name="stops"' in line]
    checked = {box.split('value="')[1].split('"')[0] for box in boxes if "checked" in box}
    assert checked == {str(hub)}
    assert str(rim) not in checked


def test_a_released_card_takes_none(client, bench, card, crack, ada):
    type(card).objects.filter(pk=card.pk).update(
        state="released", released_by=ada, released_at="2026-01-01T10:00Z"
    )
    answer = report(client, card, crack)
    assert answer.status_code == 422
    assert "released" in answer.content.decode()


def test_queries_do_not_grow(client, bench, card, crack):
    few = queries_of(client, url(card)), queries_of(client, url(card, crack))
    for number in range(6):
        FaultFactory.create(code=f"more-{number}", checkpoint=crack.checkpoint)
        CheckpointFactory.create()
    assert (queries_of(client, url(card)), queries_of(client, url(card, crack))) == few
