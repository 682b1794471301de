"""The arithmetic as it is shown, row by row."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quotes.buyin.basis import Basis
from quotes.buyin.outcome import outcome_of, steps_of
from quotes.core.margin import MarginInput, Scheme, check
from workshop.bikes.models import Bike
from workshop.shop.models import Shop

SHOP = Shop(name="The Folding Yard", currency="GBP", locale="en_GB")
BASIS = Basis(Bike(), SHOP, None, None, (), (), inspection=None, findings=(), last=None, rates={})
FIGURES = MarginInput(
    resale_price=Decimal(320),
    purchase_price=Decimal(90),
    refurbishment_cost=Decimal(60),
    selling_fee_share=Decimal("0.05"),
    selling_fee_net=Decimal(2),
    warranty_share=Decimal("0.03"),
    scheme=Scheme.MARGIN,
    vat_rate=Decimal("0.2"),
    target_profit=Decimal(80),
    currency="GBP",
)
AMOUNTS = st.decimals(0, 2000, places=2)
SHARES = st.decimals(0, "0.3", places=4)


def rows(figures):
    """Return the steps for some figures."""
    return steps_of(figures, check(figures), SHOP)


def test_the_way_from_price_to_profit_can_be_followed():
    assert [(step.words, step.how, step.amount) for step in rows(FIGURES)] == [
        ("Expected resale price", "as the buyer pays it", Decimal(320)),
        ("less the price asked", "as the seller gets it", Decimal(-90)),
        ("Margin", "", Decimal(230)),
        ("less VAT on the margin", "£230.00 × 20/120", Decimal("-38.33")),
        ("less selling fees", "5 % of £320.00 and £2.00 fixed", Decimal("-18.00")),
        ("less warranty reserve", "3 % of £320.00", Decimal("-9.60")),
        ("less the work", "at the shop’s own cost", Decimal(-60)),
        ("Profit", "", Decimal("104.07")),
    ]


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"scheme": Scheme.ORDINARY}, ("less VAT in the price", "£320.00 × 20/120")),
        ({"scheme": Scheme.NONE}, ("less VAT", "not registered: none")),
        (
            {"purchase_price": Decimal(400)},
            ("less VAT on the margin", "no margin: none"),
        ),
        ({"vat_rate": Decimal("0.055")}, ("less VAT on the margin", "£230.00 × 5.5/105.5")),
    ],
)
def test_vat_is_told_by_its_scheme(changes, words):
    step = rows(replace(FIGURES, **changes))[3]
    assert (step.words, step.how) == words


def test_fees_name_what_there_is():
    fixed = rows(replace(FIGURES, selling_fee_share=Decimal(0)))[4]
    assert fixed.how == "£2.00 fixed"
    share = rows(replace(FIGURES, selling_fee_net=Decimal(0)))[4]
    assert share.how == "5 % of £320.00"


@given(
    resale=AMOUNTS,
    asked=AMOUNTS,
    work=AMOUNTS,
    share=SHARES,
    reserve=SHARES,
    scheme=st.sampled_from(list(Scheme)),
)
def test_the_rows_add_up_to_the_profit(resale, asked, work, share, reserve, scheme):
    figures = replace(
        FIGURES,
        resale_price=resale,
        purchase_price=asked,
        refurbishment_cost=work,
        selling_fee_share=share,
        warranty_share=reserve,
        scheme=scheme,
    )
    steps = rows(figures)
    assert sum(step.amount for step in steps if not step.is_sum) == steps[-1].amount
    assert steps[2].amount == steps[0].amount + steps[1].amount


def test_other_resale_prices_are_worked_out_beside():
    around = outcome_of(FIGURES, BASIS).around
    assert [(each.words, each.resale_price) for each in around] == [
        ("10 % less", Decimal("288.00")),
        ("as expected", Decimal("320.00")),
        ("10 % more", Decimal("352.00")),
    ]
    assert around[1].profit == outcome_of(FIGURES, BASIS).result.profit
    assert around[0].profit < around[1].profit < around[2].profit


@pytest.mark.parametrize(
    ("changes", "word", "kind"),
    [
        ({}, "Buy it", "done"),
        ({"purchase_price": Decimal(160)}, "Haggle", "warn"),
        ({"purchase_price": Decimal(60), "refurbishment_cost": Decimal(190)}, "Leave it", "stop"),
    ],
)
def test_the_verdict_has_a_word_and_a_shape(changes, word, kind):
    outcome = outcome_of(replace(FIGURES, **changes), BASIS)
    assert (outcome.word, outcome.kind) == (word, kind)
    assert outcome.verdict.reasons


def test_a_deal_breaker_decides_whatever_the_figures():
    basis = replace(BASIS, deal_breakers=("Rear stays: bent",))
    outcome = outcome_of(FIGURES, basis)
    assert outcome.word == "Leave it"
    assert outcome.verdict.reasons[0] == "Deal-breaker: Rear stays: bent."
