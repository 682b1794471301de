"""What quotes add to the bike's page and to the first page."""

import datetime as dt

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from quotes.acceptance.verbs.record import record_answer
from quotes.quoting.models import Revision
from quotes.quoting.verbs.send import send
from quotes.quoting.verbs.set_details import set_details
from tests.factories import quotes as made
from tests.factories.people import sign_in
from workshop.bikes.models import Bike, Stage

pytestmark = pytest.mark.django_db


def test_the_bikes_page_offers_to_start_a_quote_and_then_lists_it(office):
    inspection = made.inspected(made.fault("play", made.remedy("adjust")))
    page = reverse("bikes:detail", args=(inspection.bike_id,))
    start = reverse("quoting:start", args=(inspection.pk,))
    assert start in office.get(page).content.decode()
    office.post(start)
    after = office.get(page).content.decode()
    assert start not in after
    assert reverse("quoting:revision", args=("Q0001", 1)) in after
    assert "Go on with quote Q0001" in after
    send(Revision.objects.get(), office.person)
    assert "Go on with quote" not in office.get(page).content.decode()


def buttons(client, bike):
    """The buttons in the head of a bike's page, with whether each stands out."""
    page = client.get(reverse("bikes:detail", args=(bike,)))
    actions, following = page.context["actions"], page.context["next_action"]
    return [(each.label, each == following) for each in actions]


def test_the_next_step_with_a_quote_comes_first_and_stands_out(office):
    draft = made.draft(made.fault("play", made.remedy("adjust")), by=office.person)
    bike = draft.quote.bike_id
    assert buttons(office, bike)[0] == ("Go on with quote Q0001", True)
    send(draft, office.person)
    assert buttons(office, bike)[:2] == [("Record the answer", True), ("Quote Q0001", False)]
    lines = draft.lines.values_list("pk", flat=True)
    record_answer(draft, decided_by="Ada Moss", by=office.person, accepted_lines=set(lines))
    assert Bike.objects.get().stage == Stage.ACCEPTED
    first, *others = buttons(office, bike)
    assert first == ("Open the job card", True)
    assert ("Quote Q0001", False) in others


def test_after_a_no_nothing_stands_out(office):
    draft = made.draft(made.fault("play", made.remedy("adjust")), by=office.person)
    Bike.objects.update(stage=Stage.REFUSED)
    assert not any(stands_out for _, stands_out in buttons(office, draft.quote.bike_id))


def test_who_may_only_read_is_not_asked_to_go_on_with_a_quote(db):
    made.draft()
    client = Client()
    sign_in(client, accountant=True)
    bike = Revision.objects.get().quote.bike_id
    page = client.get(reverse("bikes:detail", args=(bike,))).content.decode()
    assert "Quote Q0001" in page
    assert "Go on with" not in page


def test_an_unfinished_walk_is_said_where_a_quote_is_started(office):
    inspection = made.inspected(made.fault("play", made.remedy("adjust")), finished=False)
    page = office.get(reverse("bikes:detail", args=(inspection.bike_id,))).content.decode()
    assert "Start a quote (walk not finished)" in page
    assert "lacks what has not been looked at" in page


def test_a_mechanic_sees_no_quotes(db):
    made.draft()
    client = Client()
    sign_in(client)
    assert "Q0001" not in client.get(reverse("home")).content.decode()
    bike = Revision.objects.get().quote.bike_id
    assert "Q0001" not in client.get(reverse("bikes:detail", args=(bike,))).content.decode()


def test_the_first_page_shows_drafts_and_what_waits_for_an_answer(office):
    fault = made.fault("play", made.remedy("adjust"))
    made.draft(fault, by=office.person)
    waiting = made.draft(fault, by=office.person)
    until = timezone.localdate() + dt.timedelta(days=5)
    set_details(waiting, valid_until=until, message="", by=office.person)
    send(waiting, office.person)
    page = office.get(reverse("home")).content.decode()
    assert "Drafts: 1" in page
    assert "Waiting for an answer: 1" in page
    assert f"until {until.day} {until:%b}" in page
