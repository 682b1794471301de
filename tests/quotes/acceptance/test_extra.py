"""Extra work asked for, or gone ahead with: the agreed limit is honoured to the last penny."""

from decimal import Decimal

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from quotes.acceptance.models import Acceptance
from quotes.acceptance.verbs.open_card import open_card_for
from quotes.acceptance.verbs.record import record_answer
from quotes.quoting.models import Revision, State
from quotes.quoting.verbs.revise import revise
from quotes.quoting.verbs.send import send
from tests.factories import quotes as made
from tests.factories.inspections import jpeg
from tests.factories.people import UserFactory
from workshop.core.judgement import Judgement
from workshop.jobcards.models import ExtraState, JobCard
from workshop.jobcards.verbs.report_extra import report_extra

pytestmark = pytest.mark.django_db

# 30 minutes at 48.00 an hour are 24.00, sundries of 10 % 2.40, VAT at 20 % 5.28
EXTRA = Decimal("31.68")


@pytest.fixture
def ada(db):
    return UserFactory.create()


@pytest.fixture
def opened(sent, manager):
    """A card for the rim alone; returns how to open it with a limit."""

    def run(limit):
        line = sent.lines.get(key="labour:rim-cure-work")
        record_answer(
            sent, decided_by="Ms Vane", by=manager, accepted_lines=[line.pk], must_refused_ok=True
        )
        return open_card_for(sent, by=manager, go_ahead_gross=limit)

    return run


def report(card, by, code="spokes", *, minutes="30", key="x1", stops=(), **fault):
    """Report a fault that costs 31.68 to put right."""
    wrong = made.fault(code, made.remedy(f"{code}-cure", minutes=minutes), **fault)
    photo = SimpleUploadedFile("it.jpg", jpeg(), "image/jpeg")
    extra = report_extra(card, wrong, by=by, key=key, note="", photos=[photo], stops=stops)
    card.refresh_from_db()
    return extra


def codes(card):
    rows = card.tasks.filter(kind="work").exclude(state="dropped")
    return set(rows.values_list("code", flat=True))


@pytest.mark.parametrize(
    ("limit", "state"),
    [(EXTRA, "agreed"), (EXTRA - Decimal("0.01"), "waiting"), (None, "waiting"), (0, "waiting")],
)
def test_up_to_the_limit_it_goes_ahead_and_a_penny_above_it_asks(opened, ada, limit, state):
    card = opened(limit)
    stopped = card.tasks.get(code="rim-cure-work")
    extra = report(card, ada, stops=[stopped.pk])
    assert extra.extra_gross == EXTRA
    assert extra.state == state
    stopped.refresh_from_db()
    if state == "agreed":
        assert codes(card) == {"rim-cure-work", "spokes-cure-work"}
        assert card.gone_ahead_gross == EXTRA
        assert stopped.state == "to_do"
    else:
        assert codes(card) == {"rim-cure-work"}
        assert card.gone_ahead_gross == 0
        assert stopped.state == "stopped"


def test_gone_ahead_with_is_a_revision_sent_and_answered_that_says_so(opened, ada):
    card = opened(EXTRA)
    report(card, ada)
    revision = Revision.objects.get(quote__number=card.quote_number, number=2)
    assert revision.state == State.PART_ACCEPTED
    answer = Acceptance.objects.get(revision=revision)
    assert "agreed beforehand" in answer.decided_by
    assert "£31.68" in answer.note
    assert answer.recorded_by == ada
    yes = answer.decisions.filter(accepted=True, line__kind="labour")
    assert {row.line.key for row in yes} == {"labour:rim-cure-work", "labour:spokes-cure-work"}


def test_what_was_refused_stays_refused(opened, ada):
    card = opened(EXTRA)
    report(card, ada)
    assert "hub-cure-work" not in codes(card)
    assert "Hub cure work" in set(card.declined.values_list("title", flat=True))


def test_all_extras_together_stay_within_the_limit(opened, ada):
    card = opened(2 * EXTRA)
    assert report(card, ada).state == ExtraState.AGREED
    assert report(card, ada, "cable", key="x2").state == ExtraState.AGREED
    assert card.gone_ahead_gross == 2 * EXTRA
    third = report(card, ada, "grips", minutes="1", key="x3")
    assert third.state == ExtraState.WAITING
    assert card.gone_ahead_gross == 2 * EXTRA


def test_while_something_waits_nothing_goes_ahead_by_itself(opened, ada):
    card = opened(EXTRA)
    assert report(card, ada, minutes="31").state == ExtraState.WAITING
    second = report(card, ada, "cable", minutes="1", key="x2")
    assert second.state == ExtraState.WAITING
    draft = Revision.objects.get(state=State.DRAFT)
    assert draft.lines.filter(key="labour:cable-cure-work").exists()
    assert second.revision_number == draft.number


def test_a_draft_that_somebody_works_on_is_not_sent_over_their_head(opened, ada, manager):
    card = opened(EXTRA)
    draft = revise(Revision.objects.get().quote, manager)
    extra = report(card, ada)
    assert extra.state == ExtraState.WAITING
    draft.refresh_from_db()
    assert draft.state == State.DRAFT
    assert draft.lines.filter(key="labour:spokes-cure-work").exists()


def test_a_fault_without_a_price_is_priced_at_the_desk(opened, ada):
    card = opened(EXTRA)
    wrong = made.fault("noise")
    photo = SimpleUploadedFile("it.jpg", jpeg(), "image/jpeg")
    extra = report_extra(card, wrong, by=ada, key="x1", note="", photos=[photo])
    assert (extra.state, extra.extra_gross) == (ExtraState.WAITING, None)
    assert "revision 2" in extra.words


def test_a_deal_breaker_is_never_gone_ahead_with(opened, ada):
    card = opened(Decimal(1000))
    extra = report(card, ada, deal_breaker=True, default_judgement=Judgement.UNSAFE.value)
    assert (extra.state, extra.extra_gross) == (ExtraState.WAITING, None)


@pytest.mark.parametrize("yes", [True, False])
def test_the_customer_answers_and_the_bench_goes_on(opened, ada, manager, yes):
    card = opened(None)
    stopped = card.tasks.get(code="rim-cure-work")
    extra = report(card, ada, stops=[stopped.pk])
    draft = Revision.objects.get(state=State.DRAFT)
    send(draft, manager)
    keys = {"labour:rim-cure-work"} | ({"labour:spokes-cure-work"} if yes else set())
    lines = draft.lines.filter(key__in=keys).values_list("pk", flat=True)
    record_answer(
        Revision.objects.get(pk=draft.pk),
        decided_by="Ms Vane",
        by=manager,
        accepted_lines=set(lines),
        must_refused_ok=True,
    )
    extra.refresh_from_db()
    assert extra.state == (ExtraState.ACCEPTED if yes else ExtraState.REFUSED)
    stopped.refresh_from_db()
    assert stopped.state == "to_do"
    assert ("spokes-cure-work" in codes(card)) is yes
    card = JobCard.objects.get()
    assert (card.revision_number, card.gone_ahead_gross) == (2, 0)


def test_without_a_price_book_the_report_is_kept_all_the_same(opened, ada, monkeypatch):
    from quotes.quoting.verbs.reprice import CannotPriceError

    def fail(quote, by):
        raise CannotPriceError("no rate")

    card = opened(EXTRA)
    monkeypatch.setattr("quotes.acceptance.extra.revise", fail)
    extra = report(card, ada)
    assert extra.state == ExtraState.WAITING
    assert extra.words == "the front desk prices it: no rate"
    assert Revision.objects.count() == 1
