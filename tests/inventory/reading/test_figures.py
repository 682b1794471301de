"""Prices, shares, packs and GTINs as suppliers write them."""

from decimal import Decimal

import pytest
from babel.numbers import format_decimal
from hypothesis import given
from hypothesis import strategies as st
from stdnum import ean

from inventory.reading.figures import (
    FigureError,
    evidence,
    gtin_in,
    is_in,
    pack_in,
    price_in,
    share_in,
)

PRICES = st.decimals(0, 9_999_999, places=2)
WRITTEN = {"en": ".", "de": ",", "fr": ",", "de_CH": ".", "sv": ",", "pl": ","}


@given(PRICES, st.sampled_from(sorted(WRITTEN)))
def test_a_price_is_read_back_as_every_language_writes_it(price, locale):
    text = format_decimal(price, "#,##0.00", locale=locale)
    assert price_in(text, WRITTEN[locale]).amount == price
    assert evidence(text) == WRITTEN[locale]


@given(PRICES, st.sampled_from([".", ","]))
def test_a_price_with_the_other_mark_is_refused_and_never_misread(price, mark):
    text = f"{price:.2f}".replace(".", mark)
    other = "." if mark == "," else ","
    with pytest.raises(FigureError, match="unlike the rest"):
        price_in(text, other)


@given(st.text(max_size=20), st.sampled_from(["", ".", ","]))
def test_any_text_is_a_price_of_nought_or_more_or_refused_with_a_sentence(text, mark):
    try:
        amount, words = price_in(text, mark).amount, "."
    except FigureError as error:
        amount, words = Decimal(0), str(error)
    assert 0 <= amount <= 9_999_999
    assert words.endswith(".")


@given(st.integers(1, 999), st.integers(0, 999))
def test_three_figures_behind_a_mark_are_not_guessed_at(whole, rest):
    with pytest.raises(FigureError, match="can be read as"):
        price_in(f"{whole}.{rest:03}", "")


@pytest.mark.parametrize(
    ("cell", "mark", "amount", "currency"),
    [
        ("12,-", ",", "12", ""),
        ("EUR 1'234.50", ".", "1234.5", "EUR"),
        ("£ 4", "", "4", "£"),
        ("0.123", ".", "0.123", ""),
        ("12.50 kr", ".", "12.5", "kr"),
        (".5", ".", "0.5", ""),
    ],
)
def test_prices_of_many_hands(cell, mark, amount, currency):
    found = price_in(cell, mark)
    assert (found.amount, found.currency) == (Decimal(amount), currency)


@pytest.mark.parametrize(
    ("mark", "currency", "right"),
    [("", "GBP", True), ("£", "GBP", True), ("£", "EUR", False), ("EUR", "EUR", True),
     ("¥", "JPY", True), ("kr", "SEK", True), ("$", "AUD", True), ("$", "EUR", False)],
)  # fmt: skip
def test_signs_of_currencies(mark, currency, right):
    assert is_in(mark, currency) is right


def test_shares():
    assert [share_in(each, "") for each in ("40", "40 %", "-40%", "12,5%", "0")] == [
        Decimal(each) for each in ("0.4", "0.4", "0.4", "0.125", "0")
    ]
    for wrong in ("0.4", "120", "much"):
        with pytest.raises(FigureError):
            share_in(wrong, "")


def test_packs():
    assert [pack_in(each) for each in ("", "1", "10 pcs", "10.0", "25x")] == [1, 1, 10, 10, 25]
    for wrong in ("0", "2.5", "some", "1000000"):
        with pytest.raises(FigureError):
            pack_in(wrong)


@given(st.integers(0, 10**12 - 1))
def test_a_gtin_that_lost_its_leading_noughts_is_the_same(number):
    """The check digit is that of python-stdnum."""
    base = f"{number:012}"
    full = base + ean.calc_check_digit(base)
    bare = full.lstrip("0")
    if len(bare) > 12:
        assert gtin_in(bare) == full


def test_gtins_of_the_standard():
    """Source: the worked example of GS1, 629104150021 with check digit 3."""
    assert gtin_in("629 1041 50021-3") == "6291041500213"
    assert gtin_in("") == gtin_in("0") == ""
    with pytest.raises(FigureError, match="last figure"):
        gtin_in("6291041500214")
