"""A pool's periods in a row: carrying on, the end of the year, stock on joining and leaving."""

import datetime as dt
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quotes.core.global_margin import closing_period, pool_period
from quotes.core.pool import Carry, PoolMoves, run_pool
from quotes.core.vat import vat_in

RATE = Decimal("0.2")
AMOUNTS = st.decimals(0, 20_000, places=2)
SIGNED = st.decimals(-5_000, 20_000, places=2)


def quarter(number, **sums):
    """A quarter of the years from 2025 on; sums as figures."""
    year, part = 2025 + number // 4, number % 4
    starts = dt.date(year, part * 3 + 1, 1)
    ends = dt.date(year + part // 3, (part * 3 + 3) % 12 + 1, 1) - dt.timedelta(days=1)
    given_sums = {name: Decimal(str(value)) for name, value in sums.items()}
    return PoolMoves(starts, ends, RATE, **given_sums)


@st.composite
def pools(draw):
    """Up to ten quarters; stock comes in with the first and is left with the last."""
    count = draw(st.integers(1, 10))
    return [
        quarter(
            number,
            sales=draw(SIGNED),
            purchases=draw(SIGNED),
            withdrawn=draw(AMOUNTS),
            opening=draw(SIGNED),
            closing=draw(AMOUNTS) if number == count - 1 else 0,
        )
        for number in range(count)
    ]


def total(periods, name):
    return sum((getattr(each, name) for each in periods), Decimal(0))


@given(pools(), st.sampled_from(Carry))
def test_nothing_is_lost_between_the_periods(periods, carry):
    results = run_pool(periods, "GBP", carry=carry)
    margins = sum(each.period.margin_gross for each in results)
    counted = sum(each.closing_counted for each in results)
    dropped = sum(each.dropped for each in results)
    bought = total(periods, "purchases") + total(periods, "opening") - total(periods, "withdrawn")
    assert margins - results[-1].period.carried - dropped == (
        total(periods, "sales") + counted - bought
    )


@given(pools(), st.sampled_from(Carry))
def test_no_period_is_paid_out_and_its_vat_is_inside_its_margin(periods, carry):
    for each in run_pool(periods, "GBP", carry=carry):
        assert each.period.vat >= 0
        assert not (each.period.margin_gross and each.period.carried)
        assert abs(each.period.vat - vat_in(each.period.margin_gross, RATE)) <= Decimal("0.005")
        assert each.boxes.box_1 + each.boxes.box_6 == each.sold


@given(pools())
def test_an_excess_always_carried_is_never_dropped(periods):
    assert not any(each.dropped for each in run_pool(periods, "GBP"))


@given(pools())
def test_within_the_year_each_year_stands_by_itself(periods):
    in_a_row = run_pool(periods, "GBP", carry=Carry.WITHIN_YEAR)
    years = sorted({each.ends_on.year for each in periods})
    apart = [
        each.period
        for year in years
        for each in run_pool([p for p in periods if p.ends_on.year == year], "GBP")
    ]
    assert [each.period for each in in_a_row] == apart


@given(AMOUNTS, AMOUNTS, AMOUNTS, AMOUNTS)
def test_one_period_is_what_the_arithmetic_of_a_period_says(sales, bought, withdrawn, opening):
    (alone,) = run_pool(
        [quarter(0, sales=sales, purchases=bought, withdrawn=withdrawn, opening=opening)], "GBP"
    )
    assert alone.period == pool_period(
        sales, bought, RATE, "GBP", carried=opening, withdrawn=withdrawn
    )


@given(AMOUNTS, AMOUNTS, AMOUNTS)
def test_the_last_period_is_what_the_arithmetic_of_closing_says(sales, bought, stock):
    (last,) = run_pool([quarter(0, sales=sales, purchases=bought, closing=stock)], "GBP")
    assert last.period == closing_period(sales, bought, stock, RATE, "GBP")


def test_a_negative_quarter_is_dropped_with_its_year():
    periods = [quarter(3, purchases=300), quarter(4, sales=300, purchases=60)]
    kept = run_pool(periods, "EUR", carry=Carry.ALWAYS)
    dropped = run_pool(periods, "EUR", carry=Carry.WITHIN_YEAR)
    assert (kept[1].period.vat, kept[1].period.carried, kept[1].dropped) == (0, 60, 0)
    assert (dropped[1].period.vat, dropped[1].brought, dropped[1].dropped) == (40, 0, 300)


def test_within_the_year_a_negative_quarter_is_carried_like_any_other():
    periods = [quarter(0, purchases=300), quarter(1, sales=540)]
    assert run_pool(periods, "EUR", carry=Carry.WITHIN_YEAR)[1].period.vat == 40


def test_taking_back_a_sale_of_an_earlier_period_lowers_this_one():
    first, second = run_pool([quarter(0, sales=600), quarter(1, sales=-120)], "GBP")
    assert (first.period.vat, second.period.vat, second.period.carried) == (100, 0, 120)
    assert second.boxes.box_6 == -120


def test_stock_left_with_little_vat_in_it_is_waived_and_said_so():
    waived, counted = (
        run_pool([quarter(0, closing=stock)], "GBP")[0] for stock in ("6000", "6000.06")
    )
    assert (waived.closing_waived, waived.period.vat, waived.sold) == (True, 0, 0)
    assert (counted.closing_waived, counted.period.vat) == (False, Decimal("1000.01"))


def test_where_nothing_is_waived_the_least_stock_counts():
    (only,) = run_pool([quarter(0, closing=6)], "EUR", waived_up_to=None)
    assert (only.closing_counted, only.period.vat, only.closing_waived) == (6, 1, False)


def test_the_boxes_hold_what_was_bought_at_full_price_even_if_it_left_the_pool():
    (only,) = run_pool([quarter(0, sales=900, purchases=600, withdrawn=120)], "GBP")
    boxes = only.boxes
    assert (boxes.box_1, boxes.box_6, boxes.box_7, boxes.box_8, boxes.box_9) == (
        *(70, 830, 600),
        *(0, 0),
    )
    assert only.margin_net == 350


def test_opening_stock_counts_against_sales_but_was_not_bought_in_the_period():
    (only,) = run_pool([quarter(0, sales=900, opening=600)], "GBP")
    assert (only.period.vat, only.boxes.box_7) == (50, 0)


@pytest.mark.parametrize(
    "periods",
    [
        [quarter(1), quarter(0)],
        [quarter(0), quarter(0)],
        [PoolMoves(dt.date(2026, 2, 1), dt.date(2026, 1, 1), RATE)],
    ],
)
def test_periods_out_of_order_are_refused(periods):
    with pytest.raises(ValueError, match="follow one another"):
        run_pool(periods, "GBP")


def test_closing_stock_below_zero_is_refused():
    with pytest.raises(ValueError, match="below zero"):
        run_pool([quarter(0, closing=-1)], "GBP")


def test_a_pool_without_periods_comes_to_nothing():
    assert run_pool([], "GBP") == ()
