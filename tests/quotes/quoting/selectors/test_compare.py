"""What changed between two revisions, as the customer would see it."""

from decimal import Decimal

import pytest

from quotes.quoting.selectors.compare import comparison
from quotes.quoting.verbs.add_line import add_line
from quotes.quoting.verbs.change_line import change_line
from quotes.quoting.verbs.choose import choose
from quotes.quoting.verbs.refresh import refresh
from quotes.quoting.verbs.revise import revise
from quotes.quoting.verbs.send import send
from tests.factories import quotes as made
from tests.factories.inspections import FindingFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def revised(manager):
    """The draft of a second revision, of a quote with two findings."""
    made.priced_shop()
    play = made.fault("play", made.remedy("adjust", part="cones"), made.remedy("renew"))
    draft = made.draft(play, made.fault("chain", made.remedy("new-chain")), by=manager)
    send(draft, manager)
    return revise(draft.quote, manager)


def told(draft):
    return {(delta.what, delta.description) for delta in comparison(draft).lines}


def test_the_first_revision_has_nothing_to_compare_with(draft):
    assert comparison(draft) is None


def test_an_unchanged_revision_shows_no_change(revised):
    found = comparison(revised)
    assert found.same
    assert found.difference == 0


def test_lines_added_gone_dearer_and_cheaper(revised, manager):
    values = {
        "description": "Fetching",
        "quantity": Decimal(1),
        "unit": "pc",
        "unit_price_net": Decimal("10.00"),
        "vat_code": "standard",
        "importance": "should",
        "reason": "agreed",
    }
    add_line(revised, values=values, by=manager)
    lines = {line.key: line for line in revised.lines.all()}
    change_line(lines["part:adjust-work:cones"], leave_out=True, reason="brings them", by=manager)
    change_line(lines["labour:adjust-work"], quantity=Decimal(30), reason="stiff", by=manager)
    change_line(lines["labour:new-chain-work"], quantity=Decimal(5), reason="easy", by=manager)
    revised.refresh_from_db()
    assert told(revised) == {
        ("added", "Fetching"),
        ("gone", "Cones"),
        ("dearer", "Adjust work"),
        ("cheaper", "New chain work"),
    }
    found = comparison(revised)
    assert found.difference == revised.gross - found.before.gross
    assert sum(delta.difference for delta in found.lines) == found.difference


def test_a_new_importance_is_told_though_the_price_is_the_same(revised, manager):
    row = made.row_of(revised, "chain")
    choose(row, remedy=row.remedy, importance="must", reason="worn through", by=manager)
    revised.refresh_from_db()
    (delta,) = comparison(revised).lines
    assert (delta.what, delta.importance_before, delta.importance_after) == (
        "importance",
        "should do",
        "must do",
    )
    by_word = {each.word: each.difference for each in comparison(revised).importances}
    assert by_word["must do"] == -by_word["should do"] != 0


def test_new_findings_and_other_remedies_are_told(revised, manager):
    row = made.row_of(revised, "play")
    renew = row.finding.fault.options.get(remedy__code="renew").remedy
    choose(row, remedy=renew, importance="should", by=manager)
    fresh = made.fault("fresh", made.remedy("cure-fresh"))
    FindingFactory.create(fault=fresh, check_made__inspection=revised.quote.inspection)
    draft = refresh(revised, manager)
    found = {(each.what, each.title, each.after) for each in comparison(draft).findings}
    assert found == {("added", "Fresh", "needs work"), ("remedy", "Play", "Renew")}
