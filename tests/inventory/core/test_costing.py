"""Costing: value in is value out and value left, to the penny, whatever comes in what order."""

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.core.costing import BelowZeroError, Entry, Method, cost, part_of

D = Decimal
PENNY = D("0.01")
METHODS = pytest.mark.parametrize("method", list(Method))


@st.composite
def ledgers(draw):
    """Entries that never take more than there is, with quantities of two decimals."""
    entries, there = [], D(0)
    for _ in range(draw(st.integers(1, 30))):
        if there and draw(st.booleans()):
            whole = draw(st.booleans())
            out = there if whole else D(draw(st.integers(1, int(there * 100)))) / 100
            entries.append(Entry(-out))
            there -= out
        else:
            come = D(draw(st.integers(1, 2000))) / 100
            entries.append(Entry(come, D(draw(st.integers(0, 99_999))) / 100))
            there += come
    return entries


@METHODS
@given(entries=ledgers())
def test_value_in_is_value_out_and_value_left_to_the_penny(method, entries):
    costed = cost(entries, method, PENNY)
    value_in = sum((e.value for e in entries if e.quantity > 0), D(0))
    value_out = -sum(
        (v for v, e in zip(costed.values, entries, strict=True) if e.quantity < 0), D(0)
    )
    assert value_in == value_out + costed.value_left
    assert costed.quantity_left == sum((e.quantity for e in entries), D(0))
    assert all(value == value.quantize(PENNY) for value in costed.values)
    assert value_out >= 0
    assert costed.value_left >= 0


@METHODS
@given(entries=ledgers())
def test_nothing_left_is_worth_nothing(method, entries):
    left = cost(entries, method, PENNY).quantity_left
    out = [*entries, Entry(-left)] if left else entries
    assert cost(out, method, PENNY).value_left == 0


@METHODS
@given(entries=ledgers(), late=st.integers(1, 500), price=st.integers(0, 9999), where=st.data())
def test_goods_booked_in_late_keep_the_sum(method, entries, late, price, where):
    """As if they had been booked in time: later issues are costed anew and the sum holds."""
    place = where.draw(st.integers(0, len(entries)))
    value = D(price) / 100
    again = [*entries[:place], Entry(D(late), value), *entries[place:]]
    before, after = cost(entries, method, PENNY), cost(again, method, PENNY)
    assert after.values[:place] == before.values[:place]
    assert sum(after.values) == after.value_left
    assert after.quantity_left == before.quantity_left + late


@METHODS
@given(entries=ledgers(), data=st.data())
def test_an_issue_that_comes_back_whole_in_parts_has_cost_nothing(method, entries, data):
    """Returned piece by piece, to the penny, and at what the issue costs by now."""
    issues = [place for place, each in enumerate(entries) if each.quantity < 0]
    if not issues:
        return
    place = data.draw(st.sampled_from(issues))
    out = -entries[place].quantity
    first = out * data.draw(st.integers(0, 100)) / 100
    back = [Entry(each, returns=place) for each in (first, out - first) if each]
    late = [Entry(D(3), D(7)), *(replace(each, returns=shifted(each)) for each in entries + back)]
    for ledger, at in (([*entries, *back], place), (late, place + 1)):
        costed = cost(ledger, method, PENNY)
        came_back = [v for v, e in zip(costed.values, ledger, strict=True) if e.returns is not None]
        assert sum(came_back) == -costed.values[at]
        assert sum(costed.values) == costed.value_left


def shifted(entry):
    return None if entry.returns is None else entry.returns + 1


def test_more_than_is_out_cannot_come_back():
    entries = [Entry(D(5), D(5)), Entry(D(-2)), Entry(D(3), returns=1)]
    with pytest.raises(ValueError, match="brings back 3; 2 are out"):
        cost(entries, Method.FIFO, PENNY)


def test_the_average_itself_is_never_rounded():
    """100 pence over 3 pieces, one by one: 33, 34 and the rest."""
    entries = [Entry(D(3), D("1.00")), Entry(D(-1)), Entry(D(-1)), Entry(D(-1))]
    values = cost(entries, Method.AVERAGE, PENNY).values[1:]
    assert values == (D("-0.33"), D("-0.34"), D("-0.33"))


def test_a_long_run_of_issues_does_not_drift():
    """10 000 pieces for 33.33, a rounded average of 0 pence would leave all the value behind."""
    entries = [Entry(D(10_000), D("33.33")), *[Entry(D(-1))] * 9_999]
    costed = cost(entries, Method.AVERAGE, PENNY)
    assert costed.value_left in {D(0), PENNY}
    assert -sum(costed.values[1:]) == D("33.33") - costed.value_left


def test_the_oldest_goes_first():
    entries = [Entry(D(2), D(4)), Entry(D(3), D(9)), Entry(D(-3)), Entry(D(-2))]
    assert cost(entries, Method.FIFO, PENNY).values[2:] == (D(-7), D(-6))


@METHODS
def test_more_than_there_is_cannot_go_out(method):
    with pytest.raises(BelowZeroError) as caught:
        cost([Entry(D(2), D(4)), Entry(D(-3)), Entry(D(5), D(5))], method, PENNY)
    assert (caught.value.place, caught.value.there) == (1, 2)


@pytest.mark.parametrize("value", [D("-0.01"), D("0.001")])
def test_what_comes_in_has_a_value_in_whole_pence(value):
    with pytest.raises(ValueError, match="no amount of money"):
        cost([Entry(D(1), value)], Method.FIFO, PENNY)


def test_a_currency_without_pence_keeps_whole_units():
    entries = [Entry(D(3), D(100)), Entry(D(-1)), Entry(D(-1))]
    assert cost(entries, Method.FIFO, D(1)).values[1:] == (D(-33), D(-34))


def test_half_a_penny_goes_up():
    assert part_of(D("0.05"), D(1), D(2), PENNY) == D("0.03")
