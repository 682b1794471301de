"""Readings as people type them: what is taken, what is refused, and with which words."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from workshop.core.readings import ReadingError, parse_reading


def read(text, unit="mm", least="0", most="400", decimals=3):
    return parse_reading(
        text,
        unit,
        plausible_min=Decimal(least),
        plausible_max=Decimal(most),
        decimals=decimals,
    )


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("305,5", "305.5"),
        ("305.5 mm", "305.5"),
        (" 305.5mm ", "305.5"),
        ("305.5\N{NO-BREAK SPACE}mm", "305.5"),
        ("12 1/16 in", "306.388"),
        ('12-1/16"', "306.388"),
        ("12½ in", "317.5"),
        ("⅛ inch", "3.175"),
        ("1 / 16 inch", "1.588"),
        ("12 1⁄16 in", "306.388"),
        ("5 cm", "50"),
        (".5", "0.5"),
        ("3.", "3"),
        ("0", "0"),
    ],
)
def test_lengths_are_taken_as_a_rule_shows_them(text, value):
    assert read(text) == Decimal(value)


@pytest.mark.parametrize(
    ("text", "unit", "value"),
    [
        ("40 psi", "bar", "2.76"),
        ("250 kPa", "bar", "2.50"),
        ("120 in-lb", "N·m", "13.56"),
        ("10 ft lb", "N·m", "13.56"),
        ("5 Nm", "N·m", "5.00"),
        ("1000 N", "kgf", "101.97"),
        ("12 %", "%", "12"),
        ("3 teeth", "teeth", "3"),
    ],
)
def test_other_units_of_the_same_kind_are_turned_into_ours(text, unit, value):
    assert read(text, unit, decimals=2) == Decimal(value)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "no reading.*in mm"),
        ("   ", "no reading"),
        ("abc", "not a reading.*in mm"),
        ("1e5", "not a reading"),
        ("NaN", "not a reading"),
        ("inf", "not a reading"),
        ("1.234,5", "not a reading"),
        ("305 5", "not a reading"),
        ("3 mm 4", "not a reading"),
        ("٣", "not a reading"),
        ("3" * 60, "not a reading"),
        ("0" * 5000, "not a reading"),
        ("3 bar", "wrong unit.*mm or cm or in"),
        ("12 mm mm", "wrong unit"),
        ("12 1/16", "without a unit"),
        ("12 1/0 in", "divides by zero"),
        ("-3", "below zero"),
        ("−3 mm", "below zero"),
        ("-0.0001", "below zero"),
        ("900", "900 mm cannot be right.*between 0 and 400 mm"),
        ("16 in", "406.4 mm cannot be right"),
    ],
)
def test_what_is_no_reading_is_refused_saying_what_to_do(text, words):
    with pytest.raises(ReadingError, match=words):
        read(text)


def test_a_long_text_is_not_thrown_back_whole():
    with pytest.raises(ReadingError) as error:
        read("x" * 10_000)
    assert len(str(error.value)) < 200


def test_a_measure_may_go_below_zero_where_that_is_plausible():
    assert read("-0.3 mm", least="-5", most="5") == Decimal("-0.3")


def test_too_far_below_zero_is_out_of_range_where_less_than_zero_is_plausible():
    with pytest.raises(ReadingError, match="between -5 and 5 mm"):
        read("-6", least="-5", most="5")


@pytest.mark.parametrize("text", ["300", "310"])
def test_both_ends_of_the_range_are_plausible(text):
    assert read(text, least="300", most="310") == Decimal(text)


@pytest.mark.parametrize("text", ["299.9", "310.1"])
def test_just_beyond_the_range_is_not(text):
    with pytest.raises(ReadingError, match="between 300 and 310 mm"):
        read(text, least="300", most="310")


def test_the_last_decimal_is_rounded_half_up():
    assert read("1.25", decimals=1) == Decimal("1.3")
    assert read("1.249", decimals=1) == Decimal("1.2")


@given(st.decimals(0, 400, places=3), st.sampled_from([".", ","]), st.sampled_from(["", " mm"]))
def test_any_plausible_figure_is_read_back_as_it_was_written(value, mark, unit):
    assert read(str(value).replace(".", mark) + unit) == value


@given(st.integers(0, 14), st.integers(0, 15))
def test_sixteenths_of_an_inch_are_exact(whole, sixteenths):
    exact = (Decimal(whole) + Decimal(sixteenths) / 16) * Decimal("25.4")
    assert read(f"{whole} {sixteenths}/16 in", decimals=6) == exact


@given(st.text(max_size=60))
def test_any_text_gives_a_plausible_figure_or_a_clear_message(text):
    value, said = None, ""
    try:
        value = read(text)
    except ReadingError as error:
        said = str(error)
    assert said.endswith(".") if value is None else 0 <= value <= 400
