"""Money and shares typed in: what is taken, what is refused, and how the refusal reads."""

from decimal import Decimal

import pytest
from django import forms
from django.core.exceptions import ValidationError
from hypothesis import given
from hypothesis import strategies as st

from inventory.formfields import FigureField, PercentField, PriceField, use_currency


@pytest.mark.parametrize(
    ("typed", "amount"),
    [
        ("12.50", "12.50"),
        ("12,50", "12.50"),
        ("£12.50", "12.50"),
        ("£ 12,5", "12.5"),
        ("12.50 GBP", "12.50"),
        ("gbp 12", "12"),
        ("1250", "1250"),
        ("1,250.00", "1250"),
        ("1.250,00", "1250"),
        ("1 250,00", "1250"),
        ("1 250", "1250"),
        ("1'250.5", "1250.5"),
        ("1,250,000", "1250000"),
        ("0", "0"),
        ("0,5", "0.5"),
        (" 7 ", "7"),
    ],
)
def test_amounts_are_taken_as_people_write_them(typed, amount):
    assert PriceField(currency="GBP").clean(typed) == Decimal(amount)


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("about fifty", "is not a price"),
        ("fifty", "is not a price"),
        ("12-15", "is not a price"),
        ("12 50", "is not a price"),
        ("1e5", "is not a price"),
        ("NaN", "is not a price"),
        ("a lot", "is not a price"),
        ("--5", "is not a price"),
        ("£", "is not a price"),
        ("1,250,5", "is not a price"),
        ("1.250.5", "is not a price"),
        ("-5", "below zero"),
        ("1,250", "can be read as 1250 or as 1.25"),
        ("1.250", "can be read as 1250 or as 1.25"),
        ("0.125", "more than 2 decimals"),
        ("12.3456", "more than 2 decimals"),
        ("€12.50", "names another currency"),
        ("12 EUR", "Prices here are in GBP"),
        ("99999999999", "Check the figures"),
    ],
)
def test_what_cannot_be_read_for_certain_is_refused_with_what_to_do(typed, words):
    with pytest.raises(ValidationError, match=words) as caught:
        PriceField(currency="GBP").clean(typed)
    assert typed in caught.value.message


def test_an_empty_price_is_none_where_it_is_optional_and_refused_where_it_is_not():
    assert PriceField(required=False).clean("") is None
    with pytest.raises(ValidationError, match="required"):
        PriceField().clean("")


def test_the_currency_says_how_many_decimals_there_are():
    assert PriceField(currency="JPY").clean("1,250") == 1250
    assert PriceField(currency="KWD").clean("12.345") == Decimal("12.345")
    with pytest.raises(ValidationError, match="more than 0 decimals"):
        PriceField(currency="JPY").clean("12.5")


def test_a_fine_price_may_have_four_decimals():
    assert PriceField(fine=True).clean("0,0125") == Decimal("0.0125")
    assert PriceField(fine=True).clean("1.250") == Decimal("1.25")
    with pytest.raises(ValidationError, match="more than 4 decimals"):
        PriceField(fine=True).clean("0.01255")


def test_a_signed_price_may_be_below_zero():
    assert PriceField(signed=True).clean("-12,50") == Decimal("-12.5")
    assert PriceField(signed=True).clean("−£12.50") == Decimal("-12.5")


@given(st.decimals(min_value=0, max_value=9_999_999, places=4), st.booleans())
def test_an_amount_shown_and_sent_back_is_the_same(amount, fine):
    field = PriceField(currency="GBP", fine=True)
    shown = field.prepare_value(amount)
    assert field.clean(shown) == amount
    assert not field.has_changed(amount, shown)


def test_an_amount_is_shown_with_the_decimals_of_its_currency():
    assert PriceField(currency="GBP").prepare_value(Decimal("12.5000")) == "12.50"
    assert PriceField(currency="JPY").prepare_value(Decimal("1200.0000")) == "1200"
    assert PriceField(currency="GBP").prepare_value(Decimal("0.0125")) == "0.0125"
    assert PriceField().prepare_value("typed wrong") == "typed wrong"


class _Form(forms.Form):
    price = PriceField()
    other = forms.CharField(required=False)


def test_a_form_is_told_its_currency_once():
    form = _Form({"price": "CHF 5"})
    use_currency(form, "CHF", "de_CH")
    assert form.is_valid()
    assert 'inputmode="decimal"' in str(_Form()["price"])


@pytest.mark.parametrize(
    ("typed", "share"),
    [("5", "0.05"), ("5 %", "0.05"), ("2,5%", "0.025"), ("0", "0"), ("100", "1")],
)
def test_per_cent_on_screen_is_a_fraction_inside(typed, share):
    assert PercentField().clean(typed) == Decimal(share)


@pytest.mark.parametrize("typed", ["101", "-1", "five", "5.555", "5 5", "%"])
def test_a_share_that_is_none_is_refused_with_what_to_write(typed):
    with pytest.raises(ValidationError, match="from 0 to 100") as caught:
        PercentField().clean(typed)
    assert typed in caught.value.message


@given(st.integers(min_value=0, max_value=10_000))
def test_a_share_shown_and_sent_back_is_the_same(hundredths):
    share = Decimal(hundredths) / 10_000
    field = PercentField()
    assert field.clean(field.prepare_value(share)) == share


@pytest.mark.parametrize(
    ("typed", "number"), [("12", "12"), ("12,5", "12.5"), ("-0.25", "-0.25"), ("−3", "-3")]
)
def test_a_figure_takes_a_comma_for_the_point(typed, number):
    assert FigureField().clean(typed) == Decimal(number)


@pytest.mark.parametrize("typed", ["twelve", "12 mm", "1e3", "1,2,3", "--1"])
def test_a_figure_that_is_none_is_refused_with_what_to_write(typed):
    with pytest.raises(ValidationError, match="Write figures, such as 12") as caught:
        FigureField().clean(typed)
    assert typed in caught.value.message


def test_a_figure_is_shown_without_needless_zeros():
    assert FigureField().prepare_value(Decimal("12.500")) == "12.5"
    assert FigureField().prepare_value(Decimal("100.0")) == "100"
    assert FigureField(required=False).clean("") is None
