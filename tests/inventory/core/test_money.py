"""Money: rounding half-up to the minor unit of each currency."""

from decimal import Decimal, InvalidOperation
from fractions import Fraction
from math import floor

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.core.money import format_money, minor_unit, quantise

AMOUNTS = st.decimals(-1_000_000, 1_000_000, places=6)


@pytest.mark.parametrize(
    ("amount", "rounded"),
    [("0.005", "0.01"), ("0.0049", "0.00"), ("2.675", "2.68"), ("-0.005", "-0.01")],
)
def test_half_a_penny_is_rounded_away_from_zero(amount, rounded):
    assert quantise(Decimal(amount), "GBP") == Decimal(rounded)


def test_nothing_is_never_printed_with_a_minus():
    assert str(quantise(Decimal("-0.001"), "GBP")) == "0.00"


def test_a_currency_without_pennies_is_rounded_to_whole_units():
    assert minor_unit("JPY") == 1
    assert quantise(Decimal("100.5"), "JPY") == 101


@pytest.mark.parametrize("amount", ["Infinity", "1E+40"])
def test_an_amount_that_cannot_be_kept_is_refused(amount):
    with pytest.raises(InvalidOperation):
        quantise(Decimal(amount), "GBP")


@given(AMOUNTS)
def test_rounding_is_half_up_as_exact_fractions_say(amount):
    exact = abs(Fraction(amount))
    pence = floor(exact * 100 + Fraction(1, 2))
    assert abs(quantise(amount, "GBP")) * 100 == pence


@given(AMOUNTS)
def test_rounding_twice_changes_nothing(amount):
    once = quantise(amount, "EUR")
    assert quantise(once, "EUR") == once


def test_money_is_written_as_the_shops_language_does():
    assert format_money(Decimal("1234.5"), "GBP") == "£1,234.50"
    assert format_money(Decimal("1234.5"), "EUR", "de_DE") == "1.234,50\N{NO-BREAK SPACE}€"


def test_an_amount_is_shown_rounded_as_it_is_reckoned():
    assert format_money(Decimal("13.325"), "GBP") == "£13.33"
    assert format_money(Decimal("-13.325"), "GBP") == "-£13.33"
