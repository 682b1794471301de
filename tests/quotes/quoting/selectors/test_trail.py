"""Who changed what money, when, and why, as sentences."""

from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from quotes.quoting.models import Line
from quotes.quoting.selectors.trail import history_of
from quotes.quoting.verbs.add_line import add_line
from quotes.quoting.verbs.change_line import change_hand_line, change_line
from quotes.quoting.verbs.choose import choose
from quotes.quoting.verbs.remove_line import remove_line
from quotes.quoting.verbs.restore_line import restore_line
from quotes.quoting.verbs.send import send
from tests.factories import quotes as made
from tests.factories.people import UserFactory
from workshop.shop.selectors import current_shop

pytestmark = pytest.mark.django_db

VALUES = {
    "description": "Fetching",
    "quantity": Decimal(1),
    "unit": "pc",
    "unit_price_net": Decimal("10.00"),
    "vat_code": "standard",
    "importance": "should",
    "reason": "agreed by phone",
}


def told(draft):
    return [
        (entry.what, *entry.details, entry.reason) for entry in history_of(draft, current_shop())
    ]


def test_a_new_draft_tells_who_made_it_and_what_was_taken_over(draft, manager):
    entries = history_of(draft, current_shop())
    assert [entry.what for entry in entries] == [
        "Total changed",
        "1 finding taken over",
        "Draft made",
    ]
    assert {entry.who for entry in entries} == {str(manager)}


def test_every_change_of_money_is_told_with_its_reason(draft, manager):
    desk = UserFactory.create(desk=True)
    labour = draft.lines.get(kind="labour")
    change_line(labour, quantity=Decimal(30), reason="rusted", by=desk)
    line = add_line(draft, values=VALUES, by=manager).lines.get(kind="hand")
    change_hand_line(line, values=VALUES | {"unit_price_net": Decimal(12)}, by=manager)
    remove_line(Line.objects.get(pk=line.pk), manager)
    restore_line(Line.objects.get(pk=labour.pk), manager)
    row = draft.findings.get()
    choose(row, remedy=row.remedy, importance="must", reason="child's bike", by=manager)
    send(draft, manager)
    found = told(draft)
    for entry in (
        ("Hub adjust work: changed by hand", "quantity 30", "rusted"),
        ("Hub adjust work: amount", "£12.00 → £24.00 net", ""),
        ("Fetching: line added by hand", "1 × £10.00 net", "agreed by phone"),
        ("Fetching: line by hand changed", "1 × £10.00 → 1 × £12.00 net", "agreed by phone"),
        ("Fetching: line by hand removed", ""),
        ("Hub adjust work: change taken back", ""),
        ("Hub play point: Hub play: importance", "should do → must do", "child's bike"),
        ("Total changed", "£26.88 → £41.28 with VAT", ""),
        ("Revision sent", ""),
    ):
        assert entry in found
    by_desk = [entry for entry in history_of(draft, current_shop()) if entry.who == str(desk)]
    assert by_desk


def test_the_history_takes_as_many_queries_for_a_long_quote(manager):
    made.priced_shop()
    counts = []
    for size in (2, 20):
        draft = made.draft(*made.many(size, name=f"of-{size}"), by=manager)
        with CaptureQueriesContext(connection) as queries:
            history_of(draft, current_shop())
        counts.append(len(queries))
    assert counts[0] == counts[1] <= 5
