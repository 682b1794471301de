"""Sending: what stands in its way, what it freezes and keeps, and two people at once."""

import datetime as dt
import hashlib
import threading
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from inventory.paper import press
from inventory.parts.models import Part
from quotes.print.pdf import render_revision
from quotes.quoting.models import FrozenError, Revision, SentDocument, State
from quotes.quoting.selectors.page import revision_for_page
from quotes.quoting.verbs.add_line import add_line
from quotes.quoting.verbs.change_line import change_line
from quotes.quoting.verbs.choose import choose
from quotes.quoting.verbs.refresh import refresh
from quotes.quoting.verbs.revise import revise
from quotes.quoting.verbs.send import CannotSendError, send
from quotes.quoting.verbs.set_details import DetailsError, set_details
from tests.factories import quotes as made
from tests.factories.inspections import FindingFactory
from tests.factories.paper import watched_press
from tests.factories.people import UserFactory
from workshop.bikes.models import Bike, Stage
from workshop.shop.models import Shop


def reasons(draft, by, **more):
    with pytest.raises(CannotSendError) as caught:
        send(draft, by, **more)
    draft.refresh_from_db()
    assert draft.state == State.DRAFT
    assert not SentDocument.objects.exists()
    return caught.value.reasons


pytestmark = pytest.mark.django_db


def test_a_sent_revision_has_name_time_date_and_its_pdf(draft, manager):
    document = send(draft, manager)
    draft.refresh_from_db()
    assert (draft.state, draft.sent_by) == (State.SENT, manager)
    assert draft.valid_until == timezone.localdate() + dt.timedelta(days=30)
    pdf = bytes(document.pdf)
    assert pdf.startswith(b"%PDF")
    assert document.sha256 == hashlib.sha256(pdf).hexdigest()
    assert Bike.objects.get(pk=draft.quote.bike_id).stage == Stage.SENT
    assert draft.history.first().history_user == manager


def test_what_was_priced_days_ago_and_costs_the_same_is_sent_as_priced_today(draft, manager):
    before = timezone.localdate() - dt.timedelta(days=3)
    Revision.objects.filter(pk=draft.pk).update(priced_on=before)
    send(draft, manager)
    assert Revision.objects.get(pk=draft.pk).priced_on == timezone.localdate()


def test_the_days_a_quote_stands_are_the_shops_unless_a_date_is_set(draft, manager):
    Shop.objects.update(quote_valid_days=14)
    day = timezone.localdate() + dt.timedelta(days=3)
    set_details(draft, valid_until=day, message="Until Friday.", by=manager)
    send(draft, manager)
    draft.refresh_from_db()
    assert (draft.valid_until, draft.message) == (day, "Until Friday.")


@pytest.mark.parametrize(("days", "says"), [(-1, "is past"), (400, "a year at most")])
def test_a_date_in_the_past_or_too_far_ahead_is_refused(draft, manager, days, says):
    day = timezone.localdate() + dt.timedelta(days=days)
    with pytest.raises(DetailsError, match=says):
        set_details(draft, valid_until=day, message="", by=manager)


def test_a_finding_to_be_priced_by_hand_blocks_until_it_has_a_line(manager):
    made.priced_shop()
    draft = made.draft(
        made.fault("odd-noise"), made.fault("play", made.remedy("adjust")), by=manager
    )
    assert reasons(draft, manager) == ["Odd noise point, odd noise: to be priced by hand."]
    row = made.row_of(draft, "odd-noise")
    values = {
        "description": "Looking for it",
        "quantity": Decimal(1),
        "unit": "h",
        "unit_price_net": Decimal("20.00"),
        "vat_code": "standard",
        "importance": "should",
        "reason": "nobody can place it",
    }
    add_line(draft, values=values, findings=[row], by=manager)
    assert send(draft, manager)


def test_a_finding_for_which_no_work_is_offered_does_not_block(manager):
    made.priced_shop()
    draft = made.draft(made.fault("scratch"), made.fault("play", made.remedy("adjust")), by=manager)
    row = made.row_of(draft, "scratch")
    choose(row, remedy=None, importance="should", no_work_reason="cosmetic", by=manager)
    assert send(draft, manager)


def test_nothing_offered_blocks(draft, manager):
    for line in draft.lines.all():
        change_line(line, leave_out=True, reason="not wanted", by=manager)
    assert reasons(draft, manager) == [
        "Nothing is offered: there is no line, or every line is left out."
    ]


def test_discounts_beyond_the_work_block(draft, manager):
    values = {
        "description": "Discount",
        "quantity": Decimal(1),
        "unit": "pc",
        "unit_price_net": Decimal("-100.00"),
        "vat_code": "standard",
        "importance": "could",
        "reason": "a slip",
    }
    add_line(draft, values=values, by=manager)
    assert reasons(draft, manager) == ["The discounts come to more than the work. Lower them."]


def test_prices_that_changed_since_block_until_they_are_fetched(draft, manager):
    Part.objects.filter(code="hub-cones").update(price_net=Decimal("9.50"))
    assert reasons(draft, manager) == [
        "Prices or parts have changed since this draft was worked out."
    ]
    refresh(draft, manager)
    assert send(draft, manager)


def test_findings_that_changed_since_block_until_they_are_fetched(draft, manager):
    new = made.fault("new", made.remedy("cure-new"))
    FindingFactory.create(fault=new, check_made__inspection=draft.quote.inspection)
    assert "The inspection has changed since this draft was made." in reasons(draft, manager)
    again = refresh(draft, manager)
    assert again.findings.count() == 2
    assert send(draft, manager)


def test_a_date_that_has_passed_meanwhile_blocks(draft, manager):
    Revision.objects.filter(pk=draft.pk).update(valid_until=dt.date(2020, 1, 1))
    assert reasons(draft, manager) == ["It would stand until 1 January 2020, which is past."]


def test_a_shop_without_name_and_address_blocks(draft, manager):
    Shop.objects.update(address="")
    assert "name and address are missing" in reasons(draft, manager)[0]


def test_an_unfinished_walk_must_be_confirmed_and_keeps_the_bike_where_it_is(manager):
    made.priced_shop()
    draft = made.draft(made.fault("play", made.remedy("adjust")), by=manager, finished=False)
    assert "The walk is not finished" in reasons(draft, manager)[0]
    assert send(draft, manager, unfinished_ok=True)
    assert Bike.objects.get(pk=draft.quote.bike_id).stage == Stage.INSPECTING


def test_with_a_deal_breaker_it_is_sent_without_price(manager):
    made.priced_shop()
    draft = made.draft(made.fault("crack", deal_breaker=True), by=manager)
    assert send(draft, manager)


def test_a_new_revision_supersedes_the_one_that_waits(draft, manager):
    send(draft, manager)
    second = revise(draft.quote, manager)
    send(second, manager)
    draft.refresh_from_db()
    assert draft.state == State.SUPERSEDED
    assert draft.history.first().state == State.SUPERSEDED


@pytest.mark.postgres
def test_the_revision_that_waits_is_locked_against_an_answer_at_the_same_moment(draft, manager):
    send(draft, manager)
    second = revise(draft.quote, manager)
    with CaptureQueriesContext(connection) as asked:
        send(second, manager)
    locked = [each["sql"] for each in asked if "FOR UPDATE" in each["sql"]]
    assert any("\"state\" = 'sent'" in sql for sql in locked)


def test_a_revision_is_sent_once(draft, manager):
    send(draft, manager)
    with pytest.raises(FrozenError, match="is sent and stays as it is"):
        send(draft, manager)
    assert SentDocument.objects.count() == 1


def test_when_the_pdf_fails_nothing_is_sent(draft, manager, monkeypatch):
    def broken(page):
        raise RuntimeError("no fonts")

    monkeypatch.setattr("quotes.print.pdf.render_revision", broken)
    with pytest.raises(RuntimeError, match="no fonts"):
        send(draft, manager)
    draft.refresh_from_db()
    assert (draft.state, draft.sent_at) == (State.DRAFT, None)


@pytest.mark.django_db(transaction=True)
def test_of_two_people_who_send_at_once_one_is_told(monkeypatch):
    monkeypatch.setattr("quotes.print.pdf.render_revision", lambda page: b"%PDF-1.7 one")
    by = UserFactory.create(manager=True)
    made.priced_shop()
    draft = made.draft(made.fault("play", made.remedy("adjust")), by=by)
    start, told = threading.Barrier(2), []

    def try_it():
        try:
            start.wait(10)
            send(Revision.objects.get(pk=draft.pk), by)
            told.append("sent")
        except FrozenError as error:
            told.append(str(error))
        finally:
            connection.close()

    threads = [threading.Thread(target=try_it) for _ in range(2)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(30)
    assert sorted(told) == [
        "Q0001 revision 1 is sent and stays as it is. Make a new revision to change it.",
        "sent",
    ]
    assert SentDocument.objects.count() == 1


@pytest.mark.django_db(transaction=True)
def test_its_pdf_is_made_before_anything_is_held_and_is_that_of_the_page_kept(monkeypatch):
    held, by = watched_press(monkeypatch), UserFactory.create(manager=True)
    made.priced_shop()
    draft = made.draft(made.fault("play", made.remedy("adjust")), by=by)
    document = send(draft, by)
    assert held == [False]
    assert bytes(document.pdf) == render_revision(revision_for_page(draft.pk))
    assert draft.history.filter(state=State.SENT).count() == 1


@pytest.mark.django_db(transaction=True)
def test_what_is_changed_while_it_is_printed_is_printed_anew(monkeypatch):
    by = UserFactory.create(manager=True)
    made.priced_shop()
    draft = made.draft(made.fault("play", made.remedy("adjust")), by=by)
    printed, pages = press.printed, []

    def slowly(page):
        if not pages:
            set_details(draft, valid_until=None, message="Bring both keys.", by=by)
        pages.append(page.html)
        return printed(page)

    monkeypatch.setattr(press, "printed", slowly)
    document = send(draft, by)
    assert ["Bring both keys." in page for page in pages] == [False, True]
    assert bytes(document.pdf) == printed(press.Page(pages[-1], {}))
