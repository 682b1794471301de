"""Selling prices: never under the mark-up, and ending as the shop wishes."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.core.selling import Rounding, ending, selling_price

D = Decimal
VAT = D("0.2")


@pytest.mark.parametrize(
    ("rounding", "gross"),
    [
        (Rounding.NONE, "15.36"),
        (Rounding.FIFTY, "15.50"),
        (Rounding.WHOLE, "16.00"),
        (Rounding.NINETY_NINE, "15.99"),
    ],
)
def test_the_ticket_ends_as_wished(rounding, gross):
    """8.00 and 60 % are 12.80 net, 15.36 with VAT."""
    net = selling_price(D("8.00"), D("0.6"), rounding, vat_rate=VAT)
    assert round(net * D("1.2"), 2) == D(gross)


@pytest.mark.parametrize(
    ("amount", "rounding", "ended"),
    [
        ("15.99", Rounding.NINETY_NINE, "15.99"),
        ("16.00", Rounding.NINETY_NINE, "16.99"),
        ("0.10", Rounding.NINETY_NINE, "0.99"),
        ("15.50", Rounding.FIFTY, "15.50"),
        ("15.51", Rounding.FIFTY, "16.00"),
        ("16", Rounding.WHOLE, "16"),
        ("0", Rounding.NINETY_NINE, "0"),
    ],
)
def test_a_price_that_ends_so_already_stays(amount, rounding, ended):
    assert ending(D(amount), rounding, D("0.01")) == D(ended)


def test_a_currency_without_pence_ends_in_ninety_nine_too():
    assert selling_price(D(800), D("0.6"), Rounding.NINETY_NINE, unit=D(1)) == 1299


@given(
    cost=st.decimals(0, 10_000, places=4),
    markup=st.decimals(0, 5, places=2),
    rounding=st.sampled_from(Rounding),
    rate=st.sampled_from([D(0), D("0.05"), D("0.19"), VAT]),
)
def test_never_less_than_cost_and_mark_up(cost, markup, rounding, rate):
    net = selling_price(cost, markup, rounding, vat_rate=rate)
    assert net >= cost * (1 + markup) - D("0.0001")


@pytest.mark.parametrize("wrong", [{"cost": D(-1)}, {"markup": D(-1)}])
def test_nothing_below_zero(wrong):
    with pytest.raises(ValueError, match="never below zero"):
        selling_price(**{"cost": D(1), "markup": D(1), "rounding": Rounding.NONE} | wrong)
