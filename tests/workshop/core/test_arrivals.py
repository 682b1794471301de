"""How late goods come, by what suppliers did before."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from workshop.core.arrivals import IN_TIME, LEAST_ORDERS, Arrival, arrival_of
from workshop.core.spread import LEAST_SHARE, MOST_SHARE

records = st.lists(st.integers(0, 30), min_size=LEAST_ORDERS, max_size=25)
shares = st.floats(LEAST_SHARE, MOST_SHARE)


def test_with_too_few_orders_the_supplier_is_taken_at_their_word():
    assert arrival_of([9] * (LEAST_ORDERS - 1), 0.8) == IN_TIME


def test_a_single_very_late_order_of_ten_is_left_to_chance():
    assert arrival_of([0] * 7 + [1, 2, 20], 0.8) == Arrival(2, 20, 0.9, 3, 10)


def test_of_few_orders_the_latest_is_waited_for():
    assert arrival_of([0, 0, 0, 0, 4], 0.8) == Arrival(4, 4, 1, 1, 5)


def test_what_is_overdue_is_told_by_what_was_no_earlier():
    record = [0, 0, 0, 1, 3, 3, 5]
    assert arrival_of(record, 0.5, overdue=2).usual == 3
    assert arrival_of(record, 0.8, overdue=4).usual == 5
    assert arrival_of(record, 0.8, overdue=6) == IN_TIME


@given(records, shares)
def test_enough_is_left_to_the_work(record, share):
    found = arrival_of(record, share)
    assert found.chance * MOST_SHARE >= share - 1e-6
    assert found.chance == sum(each <= found.usual for each in record) / len(record)
    assert found.usual <= found.most == max(record)


@given(records, shares, st.integers(0, 30))
def test_a_later_order_more_never_makes_it_earlier(record, share, later):
    found = arrival_of(record, share)
    worse = arrival_of([max(each, later) for each in record], share)
    assert worse.usual >= found.usual
    assert worse.most >= found.most


@pytest.mark.parametrize("share", [LEAST_SHARE, 0.8, MOST_SHARE])
def test_a_record_in_time_is_in_time(share):
    found = arrival_of([0] * LEAST_ORDERS, share)
    assert (found.usual, found.most, found.chance, found.late) == (0, 0, 1, 0)
