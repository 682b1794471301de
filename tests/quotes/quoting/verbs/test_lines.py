"""Lines of a draft: added, changed, left out, restored and removed by hand, each with a reason."""

from decimal import Decimal

import pytest

from quotes.quoting.models import FrozenError, Line, LineChange
from quotes.quoting.verbs.add_line import LineError, add_line
from quotes.quoting.verbs.change_line import change_hand_line, change_line
from quotes.quoting.verbs.remove_line import remove_line
from quotes.quoting.verbs.restore_line import restore_line
from quotes.quoting.verbs.send import send
from tests.factories import quotes as made

pytestmark = pytest.mark.django_db


def values(**more):
    return {
        "description": "Fetching the bike",
        "quantity": Decimal(2),
        "unit": "h",
        "unit_price_net": Decimal("10.00"),
        "vat_code": "standard",
        "importance": "should",
        "cost_net": Decimal("4.00"),
        "reason": "agreed by phone",
    } | more


def test_a_line_for_the_whole_bike_counts_in_the_totals(draft, manager):
    again = add_line(draft, values=values(), by=manager)
    line = again.lines.get(kind="hand")
    assert (line.net, line.vat, line.gross) == (Decimal(20), Decimal(4), Decimal(24))
    assert line.cost_net == Decimal("4.00")
    assert again.gross == draft.gross + 24
    assert line.history.last().history_user == manager


def test_a_line_prices_a_finding_that_has_no_remedy(manager):
    made.priced_shop()
    draft = made.draft(made.fault("odd-noise"), by=manager)
    row = draft.findings.get()
    add_line(draft, values=values(), findings=[row], by=manager)
    assert row.lines.get().description == "Fetching the bike"


def test_a_discount_is_a_line_below_zero(draft, manager):
    again = add_line(
        draft, values=values(quantity=Decimal(1), unit_price_net=Decimal("-5.00")), by=manager
    )
    assert again.net == draft.net - 5
    assert again.vat == draft.vat - 1


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"reason": " "}, "needs a reason"),
        ({"quantity": Decimal(0)}, "more than nothing"),
        ({"quantity": Decimal(-1)}, "more than nothing"),
    ],
)
def test_a_line_by_hand_that_is_not_whole_is_refused_and_not_saved(draft, manager, wrong, says):
    with pytest.raises(LineError, match=says):
        add_line(draft, values=values(**wrong), by=manager)
    assert not draft.lines.filter(kind="hand").exists()


def test_a_finding_of_another_quote_is_refused(draft, manager):
    stranger = made.draft(made.fault("x", made.remedy("rx")), by=manager).findings.get()
    with pytest.raises(LineError, match="another quote"):
        add_line(draft, values=values(), findings=[stranger], by=manager)
    assert not draft.lines.filter(kind="hand").exists()


def test_minutes_and_hourly_price_of_labour_can_be_changed(draft, manager):
    labour = draft.lines.get(kind="labour")
    again = change_line(
        labour,
        quantity=Decimal(30),
        unit_price_net=Decimal("40.00"),
        reason="rusted solid",
        by=manager,
    )
    line = again.lines.get(kind="labour")
    assert (line.net, line.reason) == (Decimal("20.00"), "rusted solid")
    change = LineChange.objects.get(revision=draft)
    assert (change.key, change.by) == (labour.key, manager)
    assert change.history.first().history_user == manager


def test_a_line_left_out_is_shown_but_counts_nothing(draft, manager):
    part = draft.lines.get(kind="part")
    again = change_line(part, leave_out=True, reason="brings it along", by=manager)
    line = again.lines.get(kind="part")
    assert line.left_out
    assert line.net == Decimal("8.00")
    assert again.net == draft.net - 8


def test_restoring_brings_back_what_the_catalogue_says(draft, manager):
    part = draft.lines.get(kind="part")
    change_line(part, leave_out=True, reason="brings it along", by=manager)
    again = restore_line(Line.objects.get(pk=part.pk), manager)
    assert not again.lines.get(kind="part").left_out
    assert (again.net, again.gross) == (draft.net, draft.gross)
    assert not LineChange.objects.exists()
    kinds = LineChange.history.values_list("history_type", flat=True)
    assert list(kinds) == ["-", "+"]


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"quantity": Decimal(-1), "reason": "x"}, "below zero"),
        ({"unit_price_net": Decimal(-1), "reason": "x"}, "below zero"),
        ({"quantity": Decimal(1), "reason": "  "}, "Say why"),
    ],
)
def test_a_change_below_zero_or_without_reason_is_refused(draft, manager, change, says):
    with pytest.raises(LineError, match=says):
        change_line(draft.lines.get(kind="part"), by=manager, **change)
    assert not LineChange.objects.exists()


def test_a_line_by_hand_is_changed_as_a_whole(draft, manager):
    line = add_line(draft, values=values(), by=manager).lines.get(kind="hand")
    row = draft.findings.get()
    again = change_hand_line(line, values=values(quantity=Decimal(1)), findings=[row], by=manager)
    changed = again.lines.get(kind="hand")
    assert (changed.pk, changed.net) == (line.pk, Decimal("10.00"))
    assert changed.findings.get() == row


def test_a_line_that_was_removed_meanwhile_does_not_come_back(draft, manager):
    line = add_line(draft, values=values(), by=manager).lines.get(kind="hand")
    remove_line(Line.objects.get(pk=line.pk), by=manager)
    with pytest.raises(LineError, match="removed this line"):
        change_hand_line(line, values=values(), by=manager)
    assert not draft.lines.filter(kind="hand").exists()


def test_a_line_by_hand_is_removed_and_its_history_stays(draft, manager):
    line = add_line(draft, values=values(), by=manager).lines.get(kind="hand")
    again = remove_line(line, manager)
    assert not again.lines.filter(kind="hand").exists()
    assert again.gross == draft.gross
    gone = Line.history.filter(key=line.key).first()
    assert (gone.history_type, gone.history_user) == ("-", manager)


def test_each_kind_of_line_is_changed_in_its_own_way(draft, manager):
    by_hand = add_line(draft, values=values(), by=manager).lines.get(kind="hand")
    part = draft.lines.get(kind="part")
    with pytest.raises(LineError):
        change_line(by_hand, quantity=Decimal(1), reason="x", by=manager)
    with pytest.raises(LineError):
        change_hand_line(part, values=values(), by=manager)
    with pytest.raises(LineError):
        remove_line(part, manager)


def test_no_line_of_a_sent_revision_is_touched(draft, manager):
    line = add_line(draft, values=values(), by=manager).lines.get(kind="hand")
    part = draft.lines.get(kind="part")
    send(draft, manager)
    for act in (
        lambda: add_line(draft, values=values(), by=manager),
        lambda: change_line(part, quantity=Decimal(9), reason="x", by=manager),
        lambda: change_hand_line(line, values=values(), by=manager),
        lambda: restore_line(part, manager),
        lambda: remove_line(line, manager),
    ):
        with pytest.raises(FrozenError, match="Make a new revision"):
            act()
