"""Global accounting: pooled margins, what is carried, what may be pooled."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quotes.core.global_margin import closing_period, pool_period, split_lot
from quotes.core.vat import vat_in

RATE = Decimal("0.2")
AMOUNTS = st.decimals(0, 20_000, places=2)
PERIODS = st.lists(st.tuples(AMOUNTS, AMOUNTS), min_size=1, max_size=6)


def test_purchases_above_sales_are_carried_and_never_paid_out():
    period = pool_period(Decimal(500), Decimal(800), RATE, "GBP")
    assert (period.margin_gross, period.vat, period.carried) == (0, 0, 300)


def test_what_is_carried_counts_as_a_purchase_of_the_next_period():
    period = pool_period(Decimal(900), Decimal(300), RATE, "GBP", carried=Decimal(300))
    assert (period.margin_gross, period.vat) == (300, 50)


def test_goods_withdrawn_no_longer_count_as_bought():
    period = pool_period(Decimal(900), Decimal(600), RATE, "GBP", withdrawn=Decimal(120))
    assert (period.margin_gross, period.vat) == (420, 70)


@given(PERIODS)
def test_over_all_periods_margins_less_what_is_carried_are_sales_less_purchases(periods):
    carried = margins = Decimal(0)
    for sales, purchases in periods:
        period = pool_period(sales, purchases, RATE, "GBP", carried=carried)
        carried, margins = period.carried, margins + period.margin_gross
        assert period.vat >= 0
        assert not (period.margin_gross and period.carried)
    sold = sum(sales for sales, _ in periods)
    assert margins - carried == sold - sum(purchases for _, purchases in periods)


@given(AMOUNTS, AMOUNTS)
def test_the_vat_is_inside_the_pooled_margin(sales, purchases):
    period = pool_period(sales, purchases, RATE, "GBP")
    assert abs(period.vat - vat_in(period.margin_gross, RATE)) <= Decimal("0.005")


@given(st.lists(AMOUNTS, max_size=8), AMOUNTS)
def test_a_lot_is_split_without_losing_any(prices, limit):
    alone, pooled = split_lot(prices, limit)
    assert sorted((*alone, *pooled)) == sorted(prices)
    assert all(price > limit for price in alone)
    assert all(price <= limit for price in pooled)


def test_on_leaving_the_stock_in_hand_counts_as_sold():
    period = closing_period(Decimal(1000), Decimal(400), Decimal(12_000), RATE, "GBP")
    assert period.margin_gross == 12_600


@pytest.mark.parametrize(("stock", "counted"), [("6000", 0), ("6000.06", Decimal("6000.06"))])
def test_on_leaving_little_vat_in_the_stock_is_waived(stock, counted):
    period = closing_period(Decimal(1000), Decimal(400), Decimal(stock), RATE, "GBP")
    assert period.margin_gross == 600 + counted


def test_on_leaving_what_was_carried_counts_too():
    period = closing_period(
        Decimal(1000), Decimal(400), Decimal(0), RATE, "GBP", carried=Decimal(700)
    )
    assert (period.margin_gross, period.carried) == (0, 100)


@pytest.mark.parametrize("field", ["carried", "withdrawn"])
def test_amounts_below_zero_are_refused(field):
    with pytest.raises(ValueError, match="below zero"):
        pool_period(Decimal(1), Decimal(1), RATE, "GBP", **{field: Decimal(-1)})
