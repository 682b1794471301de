"""A card for the release check alone whose bike turns out to need work: quoted, then done on it."""

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from quotes.acceptance.verbs.open_card import open_card_for
from quotes.acceptance.verbs.record import record_answer
from quotes.quoting.models import Quote, Revision, State
from quotes.quoting.verbs.send import send
from quotes.quoting.verbs.start import start_quote
from tests.factories import jobcards
from tests.factories import quotes as made
from tests.factories.inspections import jpeg
from tests.factories.people import UserFactory
from workshop.bikes.models import Bike, Stage
from workshop.inspections.models import Finding
from workshop.jobcards.models import ExtraState, JobCard
from workshop.jobcards.signing import standing_of
from workshop.jobcards.verbs.open_check import open_check
from workshop.jobcards.verbs.report_extra import report_extra
from workshop.labour.models import LabourRate

pytestmark = pytest.mark.django_db
ALL = ("labour:spokes-cure-work", "labour:cable-cure-work")


@pytest.fixture
def ada(db):
    return UserFactory.create()


@pytest.fixture
def walk(quick_pdf):
    made.priced_shop()
    return jobcards.own_bike()


@pytest.fixture
def card(walk, ada):
    return open_check(walk.bike, by=ada)


def report(card, by, code="spokes", key="x1", **fault):
    wrong = made.fault(code, made.remedy(f"{code}-cure"), **fault)
    photo = SimpleUploadedFile("it.jpg", jpeg(), "image/jpeg")
    extra = report_extra(card, wrong, by=by, key=key, note="", photos=[photo])
    card.refresh_from_db()
    return extra


def answer(revision, by, *keys):
    lines = revision.lines.filter(key__in=keys).values_list("pk", flat=True)
    record_answer(
        revision, decided_by="The shop", by=by, accepted_lines=list(lines), must_refused_ok=True
    )


def test_what_is_found_gets_a_quote_and_blocks_the_release(card, ada):
    extra = report(card, ada)
    draft = Revision.objects.get()
    assert (draft.state, draft.quote.inspection) == (State.DRAFT, card.inspection)
    assert extra.state == ExtraState.WAITING
    assert (extra.revision_number, extra.extra_gross) == (1, draft.gross)
    assert draft.quote.number in extra.words
    assert (card.state, card.is_check_alone) == ("checking", True)
    assert any("Waits for the customer" in each for each in standing_of(card).blocks)
    assert Bike.objects.get().stage == Stage.IN_WORK


def test_what_is_found_next_goes_into_the_same_quote(card, ada):
    report(card, ada)
    report(card, ada, "cable", key="x2")
    draft = Revision.objects.get()
    assert set(ALL) <= set(draft.lines.values_list("key", flat=True))


def test_a_yes_brings_the_card_its_quote_and_the_tasks(card, ada, manager):
    extra = report(card, ada)
    draft = Revision.objects.get()
    send(draft, manager)
    assert Bike.objects.get().stage == Stage.IN_WORK
    answer(Revision.objects.get(), manager, *ALL)
    card.refresh_from_db()
    extra.refresh_from_db()
    assert card.reference == f"{draft.quote.number} revision 1"
    assert (card.state, extra.state) == ("working", ExtraState.ACCEPTED)
    assert card.tasks.filter(code="spokes-cure-work", state="to_do").exists()
    third = report(card, ada, "grips", key="x3")
    assert third.revision_number == 2
    assert Quote.objects.count() == 1


def test_a_no_leaves_it_declined_and_the_check_goes_on(card, ada, manager):
    extra = report(card, ada)
    send(Revision.objects.get(), manager)
    answer(Revision.objects.get(), manager)
    card.refresh_from_db()
    extra.refresh_from_db()
    assert (card.state, extra.state) == ("checking", ExtraState.REFUSED)
    assert card.declined.get().title == "Spokes cure work"
    assert standing_of(card).blocks == ()


def test_without_a_price_the_front_desk_prices_it_and_nothing_is_lost(card, ada):
    LabourRate.objects.all().delete()
    extra = report(card, ada)
    assert "the front desk prices it" in extra.words
    assert not Revision.objects.exists()
    assert extra.state == ExtraState.WAITING


def test_a_quote_made_by_hand_meanwhile_brings_its_work_too(card, ada, manager):
    made_up = made.fault("spokes", made.remedy("spokes-cure"))
    check = jobcards.CheckFactory.create(
        inspection=card.inspection, checkpoint=made_up.checkpoint, outcome="findings"
    )
    jobcards.FindingFactory.create(fault=made_up, check_made=check)
    draft = start_quote(card.inspection, manager)
    send(draft, manager)
    answer(Revision.objects.get(), manager, *ALL)
    card.refresh_from_db()
    assert card.tasks.filter(code="spokes-cure-work").exists()
    assert JobCard.objects.count() == 1


def test_what_was_accepted_before_the_check_was_opened_goes_into_its_card(
    sent, office, ada, manager
):
    bike, lines = sent.quote.bike, [line.pk for line in sent.lines.all() if line.kind == "labour"]
    record_answer(sent, decided_by="x", by=manager, accepted_lines=lines, must_refused_ok=True)
    Bike.objects.filter(pk=bike.pk).update(purpose="buy_in", stage=Stage.BOUGHT)
    unsafe = Finding.objects.filter(judgement="unsafe")
    unsafe.update(judgement="watch", rule_judgement="watch")
    card = open_check(Bike.objects.get(pk=bike.pk), by=ada)
    opened = open_card_for(sent, by=manager, promised_on="2026-05-05", go_ahead_gross=20)
    card.refresh_from_db()
    assert opened.pk == card.pk
    assert card.reference == f"{sent.quote.number} revision 1"
    assert (str(card.promised_on), card.go_ahead_gross) == ("2026-05-05", 20)
    assert card.tasks.filter(code="rim-cure-work").exists()
    page = office.get(reverse("jobcards:card", args=(card.pk,))).content.decode()
    assert card.reference in page
