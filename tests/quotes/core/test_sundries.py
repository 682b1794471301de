"""Sundries: a share of the labour of each importance, within the limits of the quote."""

from decimal import Decimal

import pytest
from hypothesis import given

from inventory.core.money import quantise
from quotes.core.lines import Change, Kind
from quotes.core.pricing import price
from tests.quotes.core.making import (
    COULD,
    MUST,
    SHOULD,
    book,
    cases,
    job,
    lines_by_key,
    operation,
    part,
    step,
)

# 48 an hour: 25 minutes are 20.00, 50 are 40.00, 5 are 4.00
JOBS = [
    job("1", operation("a", "25"), importance=MUST),
    job("2", operation("b", "50"), importance=SHOULD),
    job("3", operation("c", "5"), importance=COULD),
]


def sundries(jobs=JOBS, changes=None, **limits):
    pricing = price(jobs, book(step("wheel", "5"), **limits), changes=changes or {})
    return {x.importance: x.net for x in pricing.lines if x.kind == Kind.SUNDRY}


def test_each_importance_carries_its_own_share():
    assert sundries(share="0.03") == {
        MUST: Decimal("0.60"),
        SHOULD: Decimal("1.20"),
        COULD: Decimal("0.12"),
    }


def test_access_carries_sundries_and_parts_carry_none():
    jobs = [job("1", operation("a", "25", ["wheel"]), parts=[part("p", "a", price="900")])]
    assert sundries(jobs, share="0.1") == {SHOULD: Decimal("2.40")}


def test_without_a_share_or_a_least_there_are_none():
    assert sundries() == {}


def test_the_least_of_the_quote_is_spread_by_labour_and_adds_up():
    found = sundries(share="0.03", least="5")
    assert sum(found.values()) == 5
    assert found == {MUST: Decimal("1.56"), SHOULD: Decimal("3.13"), COULD: Decimal("0.31")}


def test_the_most_of_the_quote_is_spread_by_labour_and_adds_up():
    found = sundries(share="0.5", most="10")
    assert sum(found.values()) == 10
    assert found[SHOULD] > found[MUST] > found[COULD]


def test_a_least_holds_without_a_share():
    assert sum(sundries(least="3").values()) == 3


def test_the_most_goes_before_the_least():
    assert sum(sundries(least="9", most="4").values()) == 4


def test_labour_left_out_carries_none():
    changes = {"labour:b": Change(leave_out=True, reason="later")}
    assert set(sundries(changes=changes, share="0.03")) == {MUST, COULD}


def test_sundries_follow_a_change_of_the_labour():
    changes = {"labour:b": Change(quantity=Decimal(100), reason="rusty")}
    assert sundries(changes=changes, share="0.03")[SHOULD] == Decimal("2.40")


def test_sundries_can_be_changed_and_left_out_by_hand():
    changes = {
        "sundry:must": Change(leave_out=True, reason="goodwill"),
        "sundry:should": Change(unit_price_net=Decimal(1), reason="goodwill"),
    }
    lines = lines_by_key(price(JOBS, book(share="0.03"), changes=changes))
    assert lines["sundry:must"].left_out is True
    assert lines["sundry:should"].net == 1


def test_a_sundry_costs_the_shop_its_own_net_even_where_it_is_given_away():
    changes = {"sundry:should": Change(unit_price_net=Decimal(0), reason="goodwill")}
    line = lines_by_key(price(JOBS, book(share="0.03"), changes=changes))["sundry:should"]
    assert (line.net, line.cost_net) == (0, Decimal("1.20"))


def test_a_sundry_is_traced_to_the_findings_whose_labour_carries_it():
    lines = lines_by_key(price(JOBS, book(share="0.03")))
    assert lines["sundry:must"].findings == ("1",)


@pytest.mark.parametrize(
    "limits", [{"least": "5"}, {"share": "0.1"}, {"share": "0.1", "most": "1"}]
)
def test_free_labour_carries_none(limits):
    changes = {f"labour:{code}": Change(unit_price_net=Decimal(0)) for code in "abc"}
    assert sundries(changes=changes, **limits) == {}


@given(cases())
def test_sundries_keep_the_limits_of_the_quote(case):
    untouched = {key: x for key, x in case.changes.items() if not key.startswith("sundry")}
    lines = price(case.jobs, case.book, changes=untouched).lines
    found = sum(line.net for line in lines if line.kind == Kind.SUNDRY)
    rule, currency = case.book.sundries, case.book.currency
    labour = [x for x in lines if x.kind in (Kind.LABOUR, Kind.ACCESS) and not x.left_out]
    if not sum(line.net for line in labour):
        assert found == 0
    elif rule.most_net is not None:
        assert found <= quantise(rule.most_net, currency)
    else:
        assert found >= quantise(rule.least_net, currency)
