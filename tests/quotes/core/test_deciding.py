"""The verdict goes one way as the price rises, says why, and opens below what it would pay."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quotes.core.deciding import Prospect, decide, in_a_hundred, opening_offer

PROSPECT = Prospect(
    price=Decimal(90),
    target=Decimal(80),
    confidence=Decimal("0.8"),
    ceiling=Decimal(120),
    reaches=0.91,
    loses=0.02,
    refused=(),
    currency="GBP",
)


def test_up_to_the_ceiling_price_it_is_bought():
    assert decide(PROSPECT).word == "buy"
    assert decide(replace(PROSPECT, price=Decimal(120))).word == "buy"


def test_above_it_is_haggled_over_and_told_by_how_much():
    verdict = decide(replace(PROSPECT, price=Decimal(150), reaches=0.55, loses=0.1))
    assert verdict.word == "haggle"
    assert "The price is £30.00 above the most you should pay." in verdict.reasons


def test_where_most_outcomes_lose_money_it_is_left():
    verdict = decide(replace(PROSPECT, price=Decimal(300), reaches=0.0, loses=0.7))
    assert verdict.word == "leave"
    assert "more likely to lose money" in " ".join(verdict.reasons)


@pytest.mark.parametrize(("ceiling", "words"), [(None, "Even for nothing"), (Decimal(0), "Only")])
def test_without_a_price_above_nothing_it_is_left(ceiling, words):
    verdict = decide(replace(PROSPECT, ceiling=ceiling, reaches=0.3))
    assert verdict.word == "leave"
    assert any(reason.startswith(words) for reason in verdict.reasons)


def test_what_refuses_a_bike_stands_first_and_decides():
    verdict = decide(replace(PROSPECT, refused=("Deal-breaker: fork cracked.",)))
    assert verdict.word == "leave"
    assert verdict.reasons[0] == "Deal-breaker: fork cracked."


@given(st.lists(st.integers(0, 400), min_size=2, max_size=6), st.integers(1, 300))
def test_a_rising_price_only_goes_from_buy_to_haggle_to_leave(prices, ceiling):
    order = ["buy", "haggle", "leave"]
    words = [
        decide(
            replace(PROSPECT, price=Decimal(price), ceiling=Decimal(ceiling), loses=price / 400)
        ).word
        for price in sorted(prices)
    ]
    assert words == sorted(words, key=order.index)


@pytest.mark.parametrize(
    ("share", "words"),
    [(0, "0"), (0.002, "less than 1"), (0.5, "50"), (0.999, "more than 99"), (1, "100")],
)
def test_a_share_is_said_as_times_in_a_hundred(share, words):
    assert in_a_hundred(share) == words


def test_the_opening_offer_is_a_share_of_the_ceiling_in_whole_steps():
    share, step = Decimal("0.8"), Decimal(5)
    assert opening_offer(Decimal(142), Decimal(200), share, step, "GBP") == Decimal(110)


def test_it_is_a_share_of_the_price_asked_where_that_is_lower():
    assert opening_offer(Decimal(142), Decimal(90), Decimal("0.8"), Decimal(5), "GBP") == 70


def test_without_a_step_it_is_rounded_to_the_minor_unit():
    offer = opening_offer(Decimal("10.01"), Decimal(90), Decimal("0.5"), Decimal(0), "GBP")
    assert offer == Decimal("5.00")


@pytest.mark.parametrize("ceiling", [None, Decimal(0), Decimal(5)])
def test_there_is_no_offer_of_nothing(ceiling):
    assert opening_offer(ceiling, Decimal(90), Decimal("0.8"), Decimal(5), "GBP") is None


@given(st.integers(0, 500), st.integers(0, 500))
def test_an_offer_never_exceeds_ceiling_or_price(ceiling, price):
    offer = opening_offer(Decimal(ceiling), Decimal(price), Decimal(1), Decimal(1), "GBP")
    assert offer is None or 0 < offer <= min(ceiling, price)
