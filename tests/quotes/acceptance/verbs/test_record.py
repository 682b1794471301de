"""Recording an answer: what is accepted, what follows, what is refused, and only once."""

import datetime as dt
import threading

import pytest
from django.db import IntegrityError, connection, transaction

from quotes.acceptance.models import Acceptance, LineDecision
from quotes.acceptance.verbs.record import (
    AlreadyAnsweredError,
    CannotAnswerError,
    NotConfirmedError,
    record_answer,
)
from quotes.quoting.models import Revision, State
from quotes.quoting.verbs.add_line import add_line
from quotes.quoting.verbs.change_line import change_line
from quotes.quoting.verbs.revise import revise
from quotes.quoting.verbs.send import send
from tests.factories import quotes as made
from tests.factories.people import UserFactory
from workshop.bikes.models import Bike, Stage

pytestmark = pytest.mark.django_db

DECIDED = ("labour:hub-cure-work", "part:hub-cure-work:cones", "labour:rim-cure-work",
           "labour:bell-cure-work", "part:bell-cure-work:bell")  # fmt: skip


def answer(sent, by, accepted, **more):
    more = {"decided_by": "Ada Moss", "must_refused_ok": True} | more
    return record_answer(sent, by=by, accepted_lines=accepted, **more)


def decided(acceptance):
    return {row.line.key: row.accepted for row in acceptance.decisions.select_related("line")}


def test_a_yes_to_everything_accepts_every_line(sent, pk, manager):
    acceptance = answer(sent, manager, {pk[key] for key in DECIDED}, must_refused_ok=False)
    assert set(decided(acceptance).values()) == {True}
    sent.refresh_from_db()
    assert sent.state == State.ACCEPTED
    assert Bike.objects.get().stage == Stage.ACCEPTED
    assert (acceptance.decided_by, acceptance.recorded_by) == ("Ada Moss", manager)
    assert acceptance.history.first().history_user == manager


def test_access_and_sundries_follow_the_labour(sent, pk, manager):
    acceptance = answer(sent, manager, {pk["labour:rim-cure-work"]}, note="rest later")
    found = decided(acceptance)
    assert {key for key, yes in found.items() if yes} == {
        "labour:rim-cure-work",
        "access:wheel-out",
        "sundry:should",
    }
    assert set(found) == set(pk)
    sent.refresh_from_db()
    assert (sent.state, acceptance.note) == (State.PART_ACCEPTED, "rest later")
    assert Bike.objects.get().stage == Stage.ACCEPTED


def test_a_no_to_everything_refuses(sent, manager):
    assert set(decided(answer(sent, manager, ())).values()) == {False}
    sent.refresh_from_db()
    assert sent.state == State.REFUSED
    assert Bike.objects.get().stage == Stage.REFUSED


def test_lines_left_out_are_not_decided_on(manager, quick_pdf):
    made.priced_shop()
    draft = made.draft(made.fault("hub", made.remedy("cure", part="cones")), by=manager)
    part = draft.lines.get(kind="part")
    change_line(part, leave_out=True, reason="brings it", by=manager)
    send(draft, manager)
    labour = draft.lines.get(kind="labour")
    with pytest.raises(CannotAnswerError, match="not offered"):
        answer(draft, manager, {labour.pk, part.pk})
    assert decided(answer(draft, manager, {labour.pk})) == {labour.key: True}
    assert Revision.objects.get().state == State.ACCEPTED


def test_a_must_that_is_refused_has_to_be_confirmed(sent, pk, manager):
    with pytest.raises(NotConfirmedError, match="This must be done, and is refused") as caught:
        answer(sent, manager, {pk["labour:rim-cure-work"]}, must_refused_ok=False)
    assert caught.value.what == "must"
    assert "Cones" in str(caught.value)
    assert not Acceptance.objects.exists()


def test_an_expired_quote_has_to_be_confirmed(manager, sent, pk, monkeypatch):
    later = sent.valid_until + dt.timedelta(days=1)
    monkeypatch.setattr("django.utils.timezone.localdate", lambda: later)
    everything = {pk[key] for key in DECIDED}
    with pytest.raises(NotConfirmedError, match="It stood until") as caught:
        answer(sent, manager, everything)
    assert caught.value.what == "expired"
    assert answer(sent, manager, everything, expired_ok=True)


@pytest.mark.parametrize("name", ["", "   "])
def test_it_needs_the_name_of_who_decides(sent, manager, name):
    with pytest.raises(CannotAnswerError, match="Enter the name"):
        answer(sent, manager, (), decided_by=name)


def test_a_line_that_is_not_to_be_decided_on_is_refused(sent, pk, manager):
    for strange in (pk["access:wheel-out"], pk["sundry:must"], 10**12):
        with pytest.raises(CannotAnswerError, match="not offered"):
            answer(sent, manager, {strange})
    assert not LineDecision.objects.exists()


def test_a_discount_alone_is_refused(manager, quick_pdf):
    made.priced_shop()
    draft = made.draft(made.fault("hub", made.remedy("cure")), by=manager)
    values = {
        "description": "Discount",
        "quantity": 1,
        "unit": "pc",
        "unit_price_net": -5,
        "vat_code": "standard",
        "importance": "should",
        "reason": "goodwill",
    }
    add_line(draft, values=values, by=manager)
    send(draft, manager)
    with pytest.raises(CannotAnswerError, match="less than nothing"):
        answer(draft, manager, {draft.lines.get(kind="hand").pk})


def test_an_answer_is_recorded_once(sent, manager):
    answer(sent, manager, ())
    with pytest.raises(AlreadyAnsweredError, match="has been recorded already"):
        answer(sent, manager, ())
    assert Acceptance.objects.count() == 1


def test_only_the_latest_sent_revision_can_be_answered(sent, manager):
    draft = revise(sent.quote, manager)
    with pytest.raises(CannotAnswerError, match="It has not been sent yet"):
        answer(draft, manager, ())
    send(draft, manager)
    with pytest.raises(CannotAnswerError, match="A newer revision stands in its place"):
        answer(sent, manager, ())


def test_a_sent_revision_can_be_answered_while_the_next_is_drawn_up(sent, manager):
    revise(sent.quote, manager)
    assert answer(sent, manager, ())


def test_without_a_price_there_is_nothing_to_answer(manager, quick_pdf):
    made.priced_shop()
    draft = made.draft(made.fault("crack", deal_breaker=True), by=manager)
    send(draft, manager)
    with pytest.raises(CannotAnswerError, match="offers no price"):
        answer(draft, manager, ())


def test_the_database_keeps_an_answer_as_it_was_given(sent, manager):
    answer(sent, manager, ())
    for rows, values in (
        (Acceptance.objects.all(), {"decided_by": "Somebody else"}),
        (LineDecision.objects.all(), {"accepted": True}),
    ):
        with pytest.raises(IntegrityError, match="kept as it is"), transaction.atomic():
            rows.update(**values)


@pytest.mark.django_db(transaction=True)
def test_of_two_people_who_record_at_once_one_is_told(monkeypatch):
    monkeypatch.setattr("quotes.print.pdf.render_revision", lambda page: b"%PDF")
    by = UserFactory.create(manager=True)
    made.priced_shop()
    draft = made.draft(made.fault("hub", made.remedy("cure")), by=by)
    send(draft, by)
    start, told = threading.Barrier(2), []

    def try_it():
        try:
            start.wait(10)
            answer(Revision.objects.get(pk=draft.pk), by, ())
            told.append("recorded")
        except AlreadyAnsweredError:
            told.append("told")
        finally:
            connection.close()

    threads = [threading.Thread(target=try_it) for _ in range(2)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(30)
    assert sorted(told) == ["recorded", "told"]
    assert Acceptance.objects.count() == 1
