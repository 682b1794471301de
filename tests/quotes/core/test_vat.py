"""VAT on net, inside gross, on the margin, and in the return."""

from decimal import Decimal
from fractions import Fraction
from math import floor

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quotes.core.vat import MarginSale, margin_return, margin_vat, vat_in, vat_of

PRICES = st.decimals(0, 5000, places=2)
RATES = st.decimals(0, 1, places=4)


@given(PRICES, RATES)
def test_vat_is_rounded_half_up_to_the_penny(net, rate):
    exact = Fraction(net) * Fraction(rate) * 100
    assert vat_of(net, rate, "GBP") * 100 == floor(exact + Fraction(1, 2))


def test_vat_of_a_discount_is_below_zero():
    assert vat_of(Decimal("-12.50"), Decimal("0.2"), "GBP") == Decimal("-2.50")


@given(PRICES, RATES)
def test_what_is_inside_gross_leads_back_to_it(gross, rate):
    net = gross - vat_in(gross, rate)
    assert abs(net * (1 + rate) - gross) < Decimal("1e-20")


@given(PRICES, PRICES, RATES, st.sampled_from(["GBP", "JPY"]))
def test_vat_on_a_margin_is_never_below_zero_nor_above_the_margin(sold, bought, rate, currency):
    vat = margin_vat(sold, bought, rate, currency)
    assert vat >= 0
    assert vat <= max(Decimal(0), sold - bought) + Decimal("0.5")


@given(PRICES, PRICES, RATES)
def test_a_loss_bears_no_vat(sold, more, rate):
    assert margin_vat(sold, sold + more, rate, "GBP") == 0


@given(PRICES, PRICES, PRICES, RATES)
def test_only_the_difference_of_the_prices_counts(sold, bought, shift, rate):
    shifted = margin_vat(sold + shift, bought + shift, rate, "GBP")
    assert margin_vat(sold, bought, rate, "GBP") == shifted


def test_vat_on_a_margin_in_a_currency_without_pennies_is_whole():
    assert margin_vat(Decimal(1000), Decimal(0), Decimal("0.1"), "JPY") == 91


SALES = st.lists(st.builds(MarginSale, PRICES, PRICES), max_size=5)


@given(SALES, st.lists(PRICES, max_size=5), RATES)
def test_the_return_holds_all_that_was_sold_and_all_that_was_bought(sales, bought, rate):
    boxes = margin_return(sales, bought, rate, "GBP")
    assert boxes.box_1 + boxes.box_6 == sum(each.selling_gross for each in sales)
    assert boxes.box_7 == sum(bought)
    assert (boxes.box_8, boxes.box_9) == (0, 0)


def test_a_loss_on_one_article_is_not_set_against_another():
    gain, loss = MarginSale(Decimal(240), Decimal(120)), MarginSale(Decimal(100), Decimal(220))
    assert margin_return([gain, loss], [], Decimal("0.2"), "GBP").box_1 == 20


@pytest.mark.parametrize("rate", ["0", "0.2"])
def test_a_period_without_trade_has_empty_boxes(rate):
    boxes = margin_return([], [], Decimal(rate), "GBP")
    assert (boxes.box_1, boxes.box_6, boxes.box_7) == (0, 0, 0)
