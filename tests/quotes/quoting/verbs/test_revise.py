"""The next revision: what is carried on, what is picked up anew."""

from decimal import Decimal

import pytest
from django.utils import timezone

from quotes.quoting.models import LineChange, State
from quotes.quoting.verbs.add_line import add_line
from quotes.quoting.verbs.change_line import change_line
from quotes.quoting.verbs.choose import choose
from quotes.quoting.verbs.refresh import refresh
from quotes.quoting.verbs.revise import revise
from quotes.quoting.verbs.send import send
from quotes.quoting.verbs.set_details import set_details
from tests.factories import quotes as made
from tests.factories.inspections import CheckFactory, FindingFactory, InspectionFactory
from workshop.inspections.models import Outcome

pytestmark = pytest.mark.django_db


@pytest.fixture
def sent(manager):
    """A sent quote with choices, a change and lines by hand."""
    made.priced_shop()
    play = made.fault("play", made.remedy("adjust", part="cones"), made.remedy("renew"))
    scratch = made.fault("scratch", default_judgement="watch")
    draft = made.draft(play, scratch, by=manager)
    row = made.row_of(draft, "play")
    renew = play.options.get(remedy__code="renew").remedy
    choose(row, remedy=renew, importance="must", reason="child's bike", by=manager)
    other = made.row_of(draft, "scratch")
    choose(other, remedy=None, importance="could", no_work_reason="cosmetic", by=manager)
    values = {
        "description": "Fetching",
        "quantity": Decimal(1),
        "unit": "pc",
        "unit_price_net": Decimal("10.00"),
        "vat_code": "standard",
        "importance": "should",
        "reason": "agreed",
    }
    add_line(draft, values=values, findings=[row], by=manager)
    change_line(
        draft.lines.get(key="labour:renew-work"),
        quantity=Decimal(5),
        reason="half done",
        by=manager,
    )
    set_details(draft, valid_until=None, message="As we said.", by=manager)
    send(draft, manager)
    draft.refresh_from_db()
    return draft


def inspected_again(sent, *codes, judgement=""):
    """Inspect the bike again; find the faults of those codes."""
    inspection = InspectionFactory.create(
        bike=sent.quote.bike,
        started_by=sent.created_by,
        finished_at=timezone.now(),
        finished_by=sent.created_by,
    )
    for fault in codes:
        check = CheckFactory.create(
            inspection=inspection, checkpoint=fault.checkpoint, outcome=Outcome.FINDINGS
        )
        more = {"judgement": judgement} if judgement else {}
        FindingFactory.create(fault=fault, check_made=check, **more)
    return inspection


def test_the_next_revision_is_a_draft_with_all_that_was_chosen_and_changed(sent, manager):
    draft = revise(sent.quote, manager)
    assert (draft.number, draft.state, draft.message) == (2, State.DRAFT, "As we said.")
    assert (draft.valid_until, draft.sent_at) == (None, None)
    row, other = made.row_of(draft, "play"), made.row_of(draft, "scratch")
    assert (row.remedy_name, row.importance, row.importance_reason) == (
        "Renew",
        "must",
        "child's bike",
    )
    assert other.no_work_reason == "cosmetic"
    assert (draft.net, draft.gross) == (sent.net, sent.gross)
    assert {line.key for line in draft.lines.all()} == {line.key for line in sent.lines.all()}
    assert draft.lines.get(kind="hand").findings.get() == row
    assert LineChange.objects.get(revision=draft).reason == "half done"


def test_the_sent_revision_keeps_its_own_rows(sent, manager):
    before = sorted(sent.lines.values_list("pk", "net"))
    draft = revise(sent.quote, manager)
    choose(
        made.row_of(draft, "play"),
        remedy=None,
        importance="should",
        no_work_reason="not now",
        by=manager,
    )
    assert sorted(sent.lines.values_list("pk", "net")) == before
    sent.refresh_from_db()
    assert sent.state == State.SENT


def test_there_is_one_draft_at_a_time(sent, manager):
    assert revise(sent.quote, manager) == revise(sent.quote, manager)
    assert sent.quote.revisions.count() == 2


def test_findings_of_a_new_inspection_are_picked_up_and_choices_kept(sent, manager):
    play = made.row_of(sent, "play").finding.fault
    fresh = made.fault("fresh", made.remedy("cure-fresh"))
    inspection = inspected_again(sent, play, fresh)
    draft = revise(sent.quote, manager)
    assert draft.quote.inspection == inspection
    assert made.row_of(draft, "play").remedy_name == "Renew"
    assert made.row_of(draft, "fresh").remedy_name == "Cure fresh"
    assert not draft.findings.filter(finding__fault__code="scratch").exists()


def test_a_finding_judged_anew_is_proposed_anew(sent, manager):
    play = made.row_of(sent, "play").finding.fault
    inspected_again(sent, play, judgement="unsafe")
    row = made.row_of(revise(sent.quote, manager), "play")
    assert (row.judgement, row.importance, row.importance_reason) == ("unsafe", "must", "")
    assert (row.remedy_name, row.remedy_chosen) == ("Adjust", False)


def test_a_line_by_hand_whose_finding_is_gone_is_for_the_whole_bike(sent, manager):
    inspected_again(sent)
    draft = revise(sent.quote, manager)
    assert not draft.lines.get(kind="hand").findings.exists()
    assert draft.net == Decimal("10.00")


def test_a_draft_that_is_fetched_anew_follows_the_latest_inspection(manager):
    made.priced_shop()
    play = made.fault("play", made.remedy("adjust"))
    draft = made.draft(play, by=manager)
    fresh = made.fault("fresh", made.remedy("cure-fresh"))
    inspected_again(draft, fresh)
    again = refresh(draft, manager)
    assert [row.title for row in again.findings.all()] == ["Fresh"]
    assert [line.key for line in again.lines.all()] == ["labour:cure-fresh-work"]
