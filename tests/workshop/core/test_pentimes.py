"""Minutes from paper become spans that follow one another."""

import datetime as dt
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from workshop.core.pentimes import Laid, OverlapError, Written, lay_out, refuse_overlaps

END = dt.datetime(2026, 11, 25, 12, tzinfo=dt.UTC)


def at(minutes):
    return END - dt.timedelta(minutes=minutes)


def written(row, minutes, *, person=1, done_at=None):
    return Written(row, person, Decimal(minutes), done_at)


def test_rows_without_a_time_are_laid_back_to_back_up_to_the_end():
    laid = lay_out([written(1, 10), written(2, 20), written(3, 5)], end=END)
    assert [(each.began, each.ended) for each in laid.values()] == [
        (at(35), at(25)),
        (at(25), at(5)),
        (at(5), END),
    ]


def test_a_row_with_a_time_of_its_own_ends_then_and_those_before_it_end_as_it_begins():
    laid = lay_out([written(1, 10), written(2, 20, done_at=at(60)), written(3, 5)], end=END)
    assert laid[1] == Laid(1, 1, at(90), at(80))
    assert laid[2] == Laid(2, 1, at(80), at(60))
    assert laid[3] == Laid(3, 1, at(5), END)


def test_two_people_work_side_by_side():
    laid = lay_out([written(1, 10), written(2, 10, person=2)], end=END)
    assert laid[1].ended == laid[2].ended == END
    refuse_overlaps(laid.values())


def test_nobody_works_on_two_things_at_once():
    laid = lay_out([written(1, 30, done_at=at(0)), written(2, 10, done_at=at(5))], end=END)
    with pytest.raises(OverlapError) as refusal:
        refuse_overlaps(laid.values())
    assert refusal.value.row == 2


def test_what_is_known_already_counts_too():
    laid = lay_out([written(1, 30)], end=END)
    refuse_overlaps(laid.values(), [Laid(0, 1, at(90), at(30)), Laid(0, 2, at(20), at(10))])
    with pytest.raises(OverlapError):
        refuse_overlaps(laid.values(), [Laid(0, 1, at(31), at(29))])


ROWS = st.lists(st.tuples(st.integers(0, 90), st.integers(1, 3)), max_size=12)


@given(ROWS)
def test_without_times_nothing_ever_overlaps_and_every_minute_is_kept(rows):
    laid = lay_out(
        [written(number, minutes, person=who) for number, (minutes, who) in enumerate(rows)],
        end=END,
    )
    refuse_overlaps(laid.values())
    for each, (minutes, _who) in zip(laid.values(), rows, strict=True):
        assert each.ended - each.began == dt.timedelta(minutes=minutes)
        assert each.ended <= END
