"""The scheme of a purchase and a sale, the VAT of it, and the boxes of a return."""

from decimal import Decimal
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quotes.core.margin import Scheme
from quotes.core.stockbook import (
    BikeSold,
    Dealt,
    bike_sold,
    input_vat,
    made,
    return_boxes,
    scheme_bought,
    scheme_sold,
    vat_less,
)
from quotes.core.vat import MarginSale, margin_return

TWENTY = Decimal("0.2")

# usual scheme, registered, VAT shown, expected
BOUGHT = [
    (Scheme.MARGIN, True, False, Scheme.MARGIN),
    (Scheme.MARGIN, True, True, Scheme.ORDINARY),
    (Scheme.ORDINARY, True, False, Scheme.ORDINARY),
    (Scheme.NONE, True, False, Scheme.ORDINARY),
    (Scheme.MARGIN, False, False, Scheme.NONE),
    (Scheme.MARGIN, False, True, Scheme.NONE),
]


@pytest.mark.parametrize(("usual", "registered", "shown", "expected"), BOUGHT)
def test_the_scheme_follows_registration_and_whether_vat_is_shown(
    usual, registered, shown, expected
):
    assert scheme_bought(usual, registered=registered, vat_shown=shown) is expected


# bought under, registered now, VAT shown then, expected
SOLD = [
    (Scheme.MARGIN, True, False, Scheme.MARGIN),
    (Scheme.ORDINARY, True, True, Scheme.ORDINARY),
    (Scheme.MARGIN, False, False, Scheme.NONE),
    (Scheme.NONE, True, False, Scheme.MARGIN),
    (Scheme.NONE, True, True, Scheme.ORDINARY),
    (Scheme.NONE, False, True, Scheme.NONE),
]


@pytest.mark.parametrize(("bought", "registered", "shown", "expected"), SOLD)
def test_a_sale_keeps_the_scheme_unless_registration_changed(bought, registered, shown, expected):
    assert scheme_sold(bought, registered=registered, vat_shown=shown) is expected


# scheme, price, bought for, pooled, margin, VAT
SALES = [
    (Scheme.MARGIN, "900", "600", False, "300", "50.00"),
    (Scheme.MARGIN, "500", "600", False, "-100", "0"),
    (Scheme.MARGIN, "600", "600", False, "0", "0"),
    (Scheme.MARGIN, "900", "600", True, "300", "0"),
    (Scheme.ORDINARY, "900", "600", False, "300", "150.00"),
    (Scheme.ORDINARY, "500", "600", False, "-100", "83.33"),
    (Scheme.NONE, "900", "600", False, "300", "0"),
]


@pytest.mark.parametrize(("scheme", "price", "paid", "pooled", "margin", "vat"), SALES)
def test_what_a_sale_comes_to(scheme, price, paid, pooled, margin, vat):
    found = bike_sold(scheme, Decimal(price), Decimal(paid), TWENTY, "GBP", pooled=pooled)
    assert found == BikeSold(Decimal(price), Decimal(margin), Decimal(vat))


@pytest.mark.parametrize("amounts", [("-1", "0", "0"), ("0", "-1", "0"), ("0", "0", "-0.1")])
def test_nothing_below_zero_is_taken(amounts):
    price, paid, rate = map(Decimal, amounts)
    with pytest.raises(ValueError, match="below zero"):
        bike_sold(Scheme.MARGIN, price, paid, rate, "GBP")


def test_input_vat_is_got_back_only_by_who_is_registered_and_was_shown_it():
    asked = {"registered": True, "vat_shown": True}
    assert input_vat(Decimal(120), TWENTY, "GBP", **asked) == 20
    assert input_vat(Decimal(120), TWENTY, "GBP", **asked | {"registered": False}) == 0
    assert input_vat(Decimal(120), TWENTY, "GBP", **asked | {"vat_shown": False}) == 0


def test_what_is_made_is_the_price_less_all_that_it_cost():
    assert made(Decimal(900), Decimal(600), Decimal(50), Decimal(80), Decimal(18)) == 152


PENCE = st.decimals(0, 100_000, places=2)
RATES = st.sampled_from([Decimal(each) for each in ("0", "0.05", "0.16", "0.19", "0.2", "0.23")])


@given(PENCE, PENCE, RATES, st.sampled_from(list(Scheme)), st.booleans())
def test_vat_lies_between_nothing_and_what_it_is_part_of(price, paid, rate, scheme, pooled):
    found = bike_sold(scheme, price, paid, rate, "GBP", pooled=pooled)
    ceiling = price if scheme is Scheme.ORDINARY else max(Decimal(0), price - paid)
    assert 0 <= found.vat <= ceiling
    assert found.margin == price - paid
    if scheme is Scheme.NONE or (scheme is Scheme.MARGIN and (pooled or price <= paid)):
        assert found.vat == 0


@given(PENCE, PENCE, RATES)
def test_vat_is_the_exact_fraction_of_the_margin_to_half_a_penny(price, paid, rate):
    margin = max(Decimal(0), price - paid)
    vat = bike_sold(Scheme.MARGIN, price, paid, rate, "GBP").vat
    assert abs(vat * (1 + rate) - margin * rate) <= Decimal("0.005") * (1 + rate)


def test_the_boxes_of_600_and_900():
    # HMRC Notice 718, VAT return section, restated by vatforum.co.uk 55951
    sold, bought = [Dealt(Decimal(900), Decimal(50))], [Dealt(Decimal(600), Decimal(0))]
    boxes = return_boxes(sold, bought, margin_scheme=True)
    assert (boxes.box_1, boxes.box_6, boxes.box_7) == (50, 850, 600)
    assert (boxes.box_8, boxes.box_9) == (0, 0)


def test_ordinary_purchases_stand_without_their_vat():
    boxes = return_boxes(
        [Dealt(Decimal(900), Decimal(150))],
        [Dealt(Decimal(600), Decimal(100))],
        margin_scheme=False,
    )
    assert (boxes.box_1, boxes.box_6, boxes.box_7) == (150, 750, 500)


@given(st.lists(st.tuples(PENCE, PENCE), max_size=12))
def test_the_boxes_agree_with_the_margin_return(pairs):
    sales = [MarginSale(price, paid) for price, paid in pairs]
    paid = [each.purchase_gross for each in sales]
    dealt = [
        Dealt(price, bike_sold(Scheme.MARGIN, price, cost, TWENTY, "GBP").vat)
        for price, cost in pairs
    ]
    bought = [Dealt(each, Decimal(0)) for each in paid]
    assert return_boxes(dealt, bought, margin_scheme=True) == margin_return(
        sales, paid, TWENTY, "GBP"
    )


@given(st.lists(st.tuples(PENCE, PENCE), max_size=12))
def test_what_is_taken_back_leaves_nothing(pairs):
    dealt = [Dealt(*each) for each in pairs]
    back = [Dealt(-each.gross, -each.vat) for each in dealt]
    boxes = return_boxes([*dealt, *back], [], margin_scheme=True)
    assert (boxes.box_1, boxes.box_6) == (0, 0)


PENCE = st.integers(0, 500_000).map(lambda pence: Decimal(pence) / 100)


@given(
    scheme=st.sampled_from(list(Scheme)),
    pooled=st.booleans(),
    bought=PENCE,
    steps=st.lists(PENCE, min_size=1, max_size=5),
)
def test_reductions_take_off_what_was_due_and_no_more(scheme, pooled, bought, steps):
    """Several together take off what one of the whole would; what is left bears its own VAT."""
    prices = sorted(steps, reverse=True)
    rate = Decimal("0.2")
    off = [
        vat_less(scheme, before, after, bought, rate, "GBP", pooled=pooled)
        for before, after in pairwise(prices)
    ]
    due, rest = (
        bike_sold(scheme, each, bought, rate, "GBP", pooled=pooled).vat
        for each in (prices[0], prices[-1])
    )
    assert min(off, default=Decimal(0)) >= 0
    assert due - sum(off) == rest


def test_a_reduction_does_not_raise_the_price():
    with pytest.raises(ValueError, match="does not rise"):
        vat_less(Scheme.MARGIN, Decimal(5), Decimal(6), Decimal(1), Decimal("0.2"), "GBP")
