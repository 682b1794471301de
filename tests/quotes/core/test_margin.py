"""The margin check: profit, a ceiling price exact to the penny, and a verdict with reasons."""

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.core.money import minor_unit, quantise
from quotes.core.margin import (
    Found,
    LeaveRule,
    MarginInput,
    Scheme,
    ceiling,
    check,
    leave_reasons,
    vat_on_resale,
    verdict,
)
from workshop.core.judgement import Judgement

PLAIN = MarginInput(
    resale_price=Decimal(400),
    purchase_price=Decimal(120),
    refurbishment_cost=Decimal(90),
    selling_fee_share=Decimal("0.05"),
    selling_fee_net=Decimal(5),
    warranty_share=Decimal("0.03"),
    scheme=Scheme.MARGIN,
    vat_rate=Decimal("0.2"),
    target_profit=Decimal(80),
    currency="GBP",
)
AMOUNTS = st.decimals(0, 3000, places=2)
SHARES = st.decimals(0, 1, places=4)
COSTS = st.integers(0, 300_00).map(lambda pence: Decimal(pence) / 100)
INPUTS = st.builds(
    MarginInput,
    resale_price=st.integers(0, 3000_00).map(lambda pence: Decimal(pence) / 100),
    purchase_price=AMOUNTS,
    refurbishment_cost=COSTS,
    selling_fee_share=st.decimals(0, "0.2", places=4),
    selling_fee_net=st.decimals(0, 50, places=2),
    warranty_share=st.decimals(0, "0.1", places=4),
    scheme=st.sampled_from(Scheme),
    vat_rate=SHARES,
    target_profit=COSTS,
    currency=st.sampled_from(["GBP", "EUR", "JPY"]),
)


def at(given_input, price):
    return check(replace(given_input, purchase_price=price))


def test_the_profit_is_what_is_left_of_the_price():
    result = check(PLAIN)
    assert result.vat == Decimal("46.67")  # 280 / 6
    assert result.fees == 25
    assert result.reserve == 12
    assert result.profit == 400 - 120 - Decimal("46.67") - 25 - 12 - 90
    assert result.margin_share == Decimal("0.3009")  # 106.33 of 353.33
    assert result.meets_target is True
    assert result.loses_money is False


def test_the_ceiling_is_the_closed_form():
    assert ceiling(PLAIN) == 400 - Decimal("1.2") * (90 + 25 + 12 + 80)


def test_the_ordinary_way_the_whole_price_bears_vat():
    ordinary = replace(PLAIN, scheme=Scheme.ORDINARY)
    assert vat_on_resale(ordinary) == Decimal("66.67")
    assert ceiling(ordinary) == 400 - Decimal("66.67") - 37 - 90 - 80


def test_a_shop_that_is_not_registered_bears_no_vat():
    free = replace(PLAIN, scheme=Scheme.NONE)
    assert vat_on_resale(free) == 0
    assert ceiling(free) == 400 - 37 - 90 - 80


def test_a_bike_given_away_has_no_margin_share():
    assert check(replace(PLAIN, resale_price=Decimal(0))).margin_share is None


def test_a_target_out_of_reach_has_no_ceiling():
    assert ceiling(replace(PLAIN, target_profit=Decimal(400))) is None


def test_a_target_just_in_reach_has_a_ceiling_of_nothing():
    free = replace(PLAIN, scheme=Scheme.NONE, target_profit=Decimal(273))
    assert ceiling(free) == 0
    assert at(free, Decimal(0)).profit == 273


PENCE = range(61)


@pytest.mark.parametrize("rate", ["0", "0.05", "0.19", "0.2", "0.21", "0.23", "0.5", "1"])
@pytest.mark.parametrize("scheme", Scheme)
def test_the_ceiling_is_the_one_found_by_trying_every_price(rate, scheme):
    free = replace(
        PLAIN,
        resale_price=Decimal("0.60"),
        refurbishment_cost=Decimal(0),
        selling_fee_share=Decimal(0),
        selling_fee_net=Decimal(0),
        warranty_share=Decimal(0),
        vat_rate=Decimal(rate),
        scheme=scheme,
    )
    profits = {price: at(free, Decimal(price) / 100).profit for price in PENCE}
    for target in PENCE:
        reaching = [price for price in PENCE if profits[price] * 100 >= target]
        tried = Decimal(max(reaching)) / 100 if reaching else None
        assert ceiling(replace(free, target_profit=Decimal(target) / 100)) == tried


@given(INPUTS)
def test_the_ceiling_put_back_gives_exactly_the_target(given_input):
    found = ceiling(given_input)
    if found is not None:
        assert at(given_input, found).profit == quantise(
            given_input.target_profit, given_input.currency
        )


@given(INPUTS)
def test_the_ceiling_is_the_greatest_price_that_reaches_the_target(given_input):
    found, step = ceiling(given_input), minor_unit(given_input.currency)
    if found is None:
        assert at(given_input, Decimal(0)).meets_target is False
    else:
        assert found >= 0
        assert found % step == 0
        assert at(given_input, found).meets_target is True
        assert at(given_input, found + step).meets_target is False


@given(INPUTS)
def test_the_ceiling_is_within_rounding_of_the_closed_form(given_input):
    found = ceiling(replace(given_input, scheme=Scheme.MARGIN))
    if found is not None:
        result = check(given_input)
        costs = result.fees + result.reserve + result.refurbishment
        step = minor_unit(given_input.currency)
        target = quantise(given_input.target_profit, given_input.currency)
        resale = quantise(given_input.resale_price, given_input.currency)
        closed = resale - (1 + given_input.vat_rate) * (costs + target)
        assert abs(found - closed) <= 2 * step


@given(INPUTS)
def test_vat_is_never_below_zero_under_any_scheme(given_input):
    assert check(given_input).vat >= 0


@given(INPUTS)
def test_what_the_buyer_pays_is_all_accounted_for(given_input):
    result = check(given_input)
    spent = result.vat + result.fees + result.reserve + result.refurbishment + result.profit
    bought = quantise(given_input.purchase_price, given_input.currency)
    assert spent + bought == quantise(given_input.resale_price, given_input.currency)


@given(INPUTS, AMOUNTS)
def test_paying_more_never_earns_more(given_input, more):
    dearer = replace(given_input, purchase_price=given_input.purchase_price + more)
    assert check(dearer).profit <= check(given_input).profit


@given(INPUTS)
def test_a_price_up_to_the_ceiling_meets_the_target_and_one_above_does_not(given_input):
    result = check(given_input)
    price = quantise(given_input.purchase_price, given_input.currency)
    assert result.meets_target is (
        result.ceiling_price is not None and price <= result.ceiling_price
    )


@pytest.mark.parametrize(
    "field",
    [
        "resale_price",
        "purchase_price",
        "refurbishment_cost",
        "selling_fee_share",
        "selling_fee_net",
        "warranty_share",
        "vat_rate",
        "target_profit",
    ],
)
def test_an_amount_below_zero_is_refused(field):
    for reckon in (check, ceiling):
        with pytest.raises(ValueError, match="below zero"):
            reckon(replace(PLAIN, **{field: Decimal(-1)}))


def decide(given_input=PLAIN, deal_breakers=(), reasons=(), **fields):
    given_input = replace(given_input, **{k: Decimal(v) for k, v in fields.items()})
    return verdict(check(given_input), given_input, deal_breakers, reasons)


def test_a_price_below_the_ceiling_is_a_buy_and_says_how_far_to_go():
    found = decide()
    assert found.word == "buy"
    assert found.reasons == (
        "At £120.00 the profit is £106.33; the target is £80.00.",
        "Up to £151.60 may be paid.",
    )


def test_exactly_the_ceiling_is_a_buy_and_a_penny_more_is_not():
    assert decide(purchase_price="151.60").word == "buy"
    assert decide(purchase_price="151.61").word == "haggle"


def test_a_price_above_the_ceiling_is_haggled_down_to_it():
    found = decide(purchase_price="190")
    assert found.word == "haggle"
    assert found.reasons == (
        "At £190.00 the profit is £48.00; the target is a profit of £80.00.",
        "No more than £151.60 may be paid.",
    )


def test_a_loss_is_called_a_loss():
    assert "loses £43.67" in decide(purchase_price="300").reasons[0]


def test_a_cheap_bike_that_needs_more_work_than_it_cost_is_left():
    found = decide(resale_price="180", purchase_price="40")
    assert found.word == "leave"
    assert "The work costs £90.00, more than the bike at £40.00." in found.reasons


def test_a_cheap_bike_that_needs_more_work_than_it_cost_yet_earns_enough_is_bought():
    assert decide(purchase_price="40").word == "buy"


def test_a_target_that_even_a_gift_would_miss_is_left():
    found = decide(resale_price="150", purchase_price="100")
    assert found.word == "leave"
    assert found.reasons[-1] == "Even for nothing it would not reach the target."


def test_a_target_that_only_a_gift_would_reach_is_left():
    found = decide(replace(PLAIN, scheme=Scheme.NONE), target_profit="273")
    assert found.word == "leave"
    assert found.reasons[-1] == "Only for nothing would it reach the target."


@pytest.mark.parametrize("price", ["0", "190"])
def test_a_deal_breaker_ends_it_whatever_the_price(price):
    found = decide(deal_breakers=["Rear stays bent"], purchase_price=price)
    assert found.word == "leave"
    assert found.reasons[0] == "Deal-breaker: Rear stays bent."
    assert len(found.reasons) > 1


def test_a_reason_to_leave_ends_it_however_good_the_margin():
    found = decide(reasons=["Many small faults together (7 findings)."])
    assert found.word == "leave"
    assert found.reasons[0] == "Many small faults together (7 findings)."


def test_amounts_are_written_as_the_shops_language_does():
    euro = replace(PLAIN, currency="EUR")
    found = verdict(check(euro), euro, [], [], locale="de_DE")
    assert "106,33\N{NO-BREAK SPACE}€" in found.reasons[0]


@given(INPUTS)
def test_every_verdict_has_reasons_and_agrees_with_the_arithmetic(given_input):
    result = check(given_input)
    found = verdict(result, given_input, [], [])
    assert found.reasons
    assert all(reason.endswith(".") for reason in found.reasons)
    assert (found.word == "buy") is result.meets_target
    if found.word == "haggle":
        assert result.ceiling_price


MANY = LeaveRule("many", "Many small faults together.", Judgement.WATCH, 3)
CHAIN = LeaveRule("chain", "Drive worn out", Judgement.NEEDS_WORK, 1, frozenset({"chain-worn"}))


def found(*judgements, fault=None):
    return [Found(fault, judgement) for judgement in judgements]


def test_a_rule_holds_from_as_many_findings_as_it_asks_for():
    few, many = [Judgement.WATCH] * 2, [Judgement.WATCH, Judgement.UNSAFE, Judgement.NEEDS_WORK]
    assert leave_reasons(found(*few), [MANY]) == ()
    assert leave_reasons(found(*many), [MANY]) == ("Many small faults together (3 findings).",)


def test_what_is_sound_is_not_a_small_fault():
    assert leave_reasons(found(*[Judgement.SOUND] * 9), [MANY]) == ()


def test_a_rule_that_names_faults_counts_only_those():
    worn = found(Judgement.NEEDS_WORK, fault="chain-worn")
    assert leave_reasons(found(Judgement.UNSAFE, fault="hub"), [CHAIN]) == ()
    assert leave_reasons(worn, [CHAIN]) == ("Drive worn out (1 finding).",)
    assert leave_reasons(found(Judgement.WATCH, fault="chain-worn"), [CHAIN]) == ()


def test_several_rules_each_give_their_reason():
    worn = found(*[Judgement.NEEDS_WORK] * 3, fault="chain-worn")
    assert len(leave_reasons(worn, [MANY, CHAIN])) == 2
