"""Splitting an amount: the shares add up, nobody is overcharged, the order decides alone."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.core.sharing import split

PENNY = Decimal("0.01")
WEIGHTS = st.lists(st.decimals(0, 500, places=2), min_size=1, max_size=8)
AMOUNTS = st.decimals(-300, 300, places=2)


def test_a_third_each_of_ten_adds_up_to_ten():
    shares = split(Decimal(10), [Decimal(1)] * 3, PENNY)
    assert shares == (Decimal("3.33"), Decimal("3.34"), Decimal("3.33"))


def test_a_weight_of_zero_gets_nothing():
    shares = split(Decimal("0.01"), [Decimal(0), Decimal(5), Decimal(0)], PENNY)
    assert shares == (0, PENNY, 0)


def test_nothing_is_spread_over_nothing():
    assert split(Decimal(0), [Decimal(0), Decimal(0)], PENNY) == (0, 0)
    assert split(Decimal(0), [], PENNY) == ()


@pytest.mark.parametrize(
    ("amount", "weights", "words"),
    [
        ("1", ["0", "0"], "nothing to spread"),
        ("1", [], "nothing to spread"),
        ("1", ["2", "-1"], "below zero"),
        ("1.005", ["1"], "no multiple"),
    ],
)
def test_what_cannot_be_split_is_refused(amount, weights, words):
    with pytest.raises(ValueError, match=words):
        split(Decimal(amount), [Decimal(each) for each in weights], PENNY)


@given(AMOUNTS, WEIGHTS.filter(any))
def test_shares_add_up_and_are_within_a_unit_of_their_exact_value(amount, weights):
    shares = split(amount, weights, PENNY)
    assert sum(shares) == amount
    for share, weight in zip(shares, weights, strict=True):
        assert share % PENNY == 0
        assert abs(share - amount * weight / sum(weights)) <= PENNY


@given(AMOUNTS.filter(lambda amount: amount >= 0), WEIGHTS.filter(any))
def test_a_positive_amount_has_no_negative_share(amount, weights):
    assert min(split(amount, weights, PENNY)) >= 0
