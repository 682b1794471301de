"""Choosing a remedy, an importance, or no work, each kept with name and reason."""

from decimal import Decimal

import pytest

from quotes.quoting.models import FrozenError, QuotedFinding
from quotes.quoting.verbs.choose import CannotChooseError, choose
from quotes.quoting.verbs.send import send
from tests.factories import quotes as made

pytestmark = pytest.mark.django_db


@pytest.fixture
def row(manager):
    """A finding with two remedies; the cheaper one is proposed."""
    made.priced_shop()
    cheap, dear = made.remedy("adjust", minutes="15"), made.remedy("renew", minutes="45")
    return made.draft(made.fault("play", cheap, dear), by=manager).findings.get()


def other(row):
    return row.finding.fault.options.get(remedy__code="renew").remedy


def test_another_remedy_is_priced_and_kept(row, manager):
    draft = choose(row, remedy=other(row), importance="should", by=manager)
    row.refresh_from_db()
    assert (row.remedy_name, row.remedy_chosen) == ("Renew", True)
    assert draft.net == Decimal("36.00")
    assert [line.key for line in draft.lines.all()] == ["labour:renew-work"]
    assert row.history.first().history_user == manager


def test_another_importance_needs_a_reason_and_moves_its_lines(row, manager):
    with pytest.raises(CannotChooseError, match="Say why it must do"):
        choose(row, remedy=row.remedy, importance="must", by=manager)
    draft = choose(row, remedy=row.remedy, importance="must", reason="child's bike", by=manager)
    row.refresh_from_db()
    assert (row.importance, row.importance_reason) == ("must", "child's bike")
    assert {line.importance for line in draft.lines.all()} == {"must"}
    assert not row.remedy_chosen


def test_back_to_the_usual_importance_drops_the_reason(row, manager):
    choose(row, remedy=row.remedy, importance="must", reason="child's bike", by=manager)
    row.refresh_from_db()
    choose(row, remedy=row.remedy, importance="should", reason="child's bike", by=manager)
    row.refresh_from_db()
    assert (row.importance, row.importance_reason) == ("should", "")


def test_no_work_with_a_reason_takes_the_lines_away(row, manager):
    draft = choose(
        row, remedy=None, importance="should", no_work_reason="cosmetic only", by=manager
    )
    row.refresh_from_db()
    assert row.no_work_reason == "cosmetic only"
    assert not draft.lines.exists()
    assert draft.gross == 0


def test_a_remedy_and_no_work_at_once_is_refused(row, manager):
    with pytest.raises(CannotChooseError, match="not both"):
        choose(row, remedy=row.remedy, importance="should", no_work_reason="x", by=manager)


def test_a_remedy_for_something_else_is_refused(row, manager):
    with pytest.raises(CannotChooseError, match="is no remedy for"):
        choose(row, remedy=made.remedy("true-wheel"), importance="should", by=manager)
    row.refresh_from_db()
    assert row.remedy_name == "Adjust"


def test_a_remedy_no_longer_in_use_is_refused(row, manager):
    retired = other(row)
    retired.active = False
    retired.save()
    with pytest.raises(CannotChooseError):
        choose(row, remedy=retired, importance="should", by=manager)


def test_a_finding_taken_off_the_draft_meanwhile_says_so(row, manager):
    QuotedFinding.objects.get(pk=row.pk).delete()
    with pytest.raises(CannotChooseError, match="on the draft no more"):
        choose(row, remedy=row.remedy, importance=row.importance, by=manager)


def test_nothing_is_chosen_on_a_sent_revision(row, manager):
    send(row.revision, manager)
    with pytest.raises(FrozenError, match="is sent and stays as it is"):
        choose(row, remedy=other(row), importance="should", by=manager)
