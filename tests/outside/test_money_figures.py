"""The minor units of ISO 4217, list one, as money is rounded to them."""

from decimal import Decimal

import pytest

from inventory.core.money import minor_unit, quantise

# code, minor unit in digits: ISO 4217, list one (SIX Financial Information, maintenance agency)
CURRENCIES = [
    ("GBP", 2),
    ("EUR", 2),
    ("USD", 2),
    ("CHF", 2),
    ("DKK", 2),
    ("PLN", 2),
    ("JPY", 0),
    ("KRW", 0),
    ("KWD", 3),
    ("BHD", 3),
    ("TND", 3),
]


@pytest.mark.parametrize(("currency", "digits"), CURRENCIES)
def test_money_is_rounded_to_the_minor_unit_of_the_standard(currency, digits):
    assert minor_unit(currency) == Decimal(10) ** -digits
    half = Decimal(5).scaleb(-digits - 1)
    assert quantise(half, currency) == minor_unit(currency)
