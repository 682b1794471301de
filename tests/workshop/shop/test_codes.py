"""Codes of the world: countries, currencies, number styles, VAT numbers."""

import pytest

from workshop.shop.codes import countries, currencies, number_styles, vat_number


def test_countries_are_countries_by_name():
    found = dict(countries())
    assert (found["GB"], found["DE"], found["JP"]) == ("United Kingdom", "Germany", "Japan")
    assert not {"EU", "UN", "001", "XA", "QO"} & set(found)
    assert list(found.values()) == sorted(found.values())


def test_currencies_are_those_in_use():
    found = dict(currencies())
    assert found["GBP"] == "GBP · British Pound"
    assert {"EUR", "CHF", "JPY", "KWD"} <= set(found)
    assert not {"DEM", "FRF", "XXX"} & set(found)


def test_number_styles_are_a_language_in_a_country():
    found = dict(number_styles())
    assert found["en_GB"] == "English (United Kingdom)"
    assert {"de_DE", "fr_CH", "ga_IE"} <= set(found)


# Each number is the example in the documentation of python-stdnum 2.2 for its country.
@pytest.mark.parametrize(
    ("typed", "country", "kept"),
    [
        ("GB 980 7806 84", "GB", "GB980780684"),
        ("980780684", "GB", "GB980780684"),
        ("DE 136,695 976", "DE", "DE136695976"),
        ("ATU13585627", "AT", "ATU13585627"),
        ("U13585627", "AT", "ATU13585627"),
        ("EL 094259216", "GR", "EL094259216"),
        ("CHE-107.787.577 IVA", "CH", "CHE107787577IVA"),
        ("whatever they write", "US", "whatever they write"),
    ],
)
def test_vat_numbers_are_kept_in_one_form(typed, country, kept):
    assert vat_number(typed, country) == kept


@pytest.mark.parametrize(
    ("typed", "country", "words"),
    [
        ("GB 980780685", "GB", "check figures do not fit"),
        ("GB 9807806", "GB", "too few or too many figures"),
        ("GB ABC780684", "GB", "not written as"),
        ("DE 136695978", "DE", "check figures do not fit"),
    ],
)
def test_vat_numbers_that_cannot_be_are_refused_with_what_is_wrong(typed, country, words):
    with pytest.raises(ValueError, match=words):
        vat_number(typed, country)
