"""Pricing: what a person reads off a quote, case by case."""

from decimal import Decimal

import pytest

from quotes.core.lines import BandRate, Change, Job, Kind
from quotes.core.pricing import PricingError, labour_minutes, price
from tests.quotes.core.making import (
    COULD,
    MUST,
    SHOULD,
    book,
    by_hand,
    job,
    lines_by_key,
    operation,
    part,
    step,
)
from workshop.core.access import AccessError

WHEEL = step("wheel", "6")
CASSETTE = step("cassette", "4", ["wheel"])
HUB = operation("hub", "25", ["wheel"])
SPOKES = operation("spokes", "5", ["cassette"])
NEW_WHEEL = operation("new-wheel", "30", ["wheel"], ["hub"])
BOOK = book(WHEEL, CASSETTE)


def keys(pricing):
    return [line.key for line in pricing.lines]


def test_minutes_are_charged_at_the_bands_rate_an_hour():
    (_, labour) = price([job("1", HUB)], BOOK).lines
    assert (labour.quantity, labour.unit, labour.unit_price_net) == (25, "min", 48)
    assert (labour.net, labour.vat, labour.gross) == (20, 4, 24)
    assert labour.cost_net == Decimal("8.33")


def test_an_amount_is_rounded_once_after_multiplying():
    rounded = price(
        [job("1", operation("a", "20"))],
        book(labour={"bench": BandRate(Decimal("0.045"), Decimal(0))}),
    )
    assert rounded.lines[0].net == Decimal("0.02")


def test_a_step_that_two_findings_need_is_charged_once_and_traced_to_both():
    pricing = price([job("1", HUB), job("2", SPOKES)], BOOK)
    assert keys(pricing) == ["access:wheel", "labour:hub", "access:cassette", "labour:spokes"]
    assert lines_by_key(pricing)["access:wheel"].findings == ("1", "2")
    assert labour_minutes(pricing.lines) == 6 + 25 + 4 + 5


def test_an_operation_for_two_findings_is_done_once_the_most_times_asked_for():
    pricing = price([job("1", (SPOKES, 2)), job("2", (SPOKES, 3))], BOOK)
    line = lines_by_key(pricing)["labour:spokes"]
    assert (line.quantity, line.findings, line.description) == (15, ("1", "2"), "work spokes × 3")


def test_a_part_of_one_operation_is_used_once_in_the_largest_quantity():
    jobs = [
        job("1", SPOKES, parts=[part("spoke", "spokes", "2", "0.80", "0.31")]),
        job("2", SPOKES, parts=[part("spoke", "spokes", "3", "0.80", "0.31")]),
    ]
    line = lines_by_key(price(jobs, BOOK))["part:spokes:spoke"]
    assert (line.quantity, line.net, line.cost_net) == (3, Decimal("2.40"), Decimal("0.93"))
    assert line.findings == ("1", "2")


def test_the_same_part_of_two_operations_is_used_twice():
    other = operation("other")
    jobs = [job("1", SPOKES, other, parts=[part("cable", "spokes"), part("cable", "other")])]
    assert {"part:spokes:cable", "part:other:cable"} <= set(keys(price(jobs, BOOK)))


def test_a_shared_line_is_as_pressing_as_the_most_pressing_of_its_findings():
    jobs = [job("1", HUB, importance=COULD), job("2", SPOKES, importance=MUST)]
    lines = lines_by_key(price(jobs, BOOK))
    assert lines["access:wheel"].importance == MUST
    assert lines["labour:hub"].importance == COULD


def test_an_operation_made_needless_is_dropped_with_its_parts_and_named():
    jobs = [job("1", HUB, parts=[part("balls", "hub")]), job("2", NEW_WHEEL)]
    pricing = price(jobs, BOOK)
    assert keys(pricing) == ["access:wheel", "labour:new-wheel"]
    assert pricing.covered == {"1": "work new-wheel"}
    assert pricing.unpriced == ()


def test_what_makes_a_pressing_finding_needless_is_as_pressing_with_its_parts_and_access():
    jobs = [
        job("1", HUB, importance=MUST),
        job("2", NEW_WHEEL, importance=COULD, parts=[part("rim", "new-wheel")]),
    ]
    assert {line.importance for line in price(jobs, BOOK).lines} == {MUST}


def test_of_several_that_make_a_finding_needless_the_most_pressing_is_named_and_pressed():
    other = operation("new-hub", covers=["hub"])
    jobs = [
        job("1", HUB, importance=MUST),
        job("2", NEW_WHEEL, importance=COULD),
        job("3", other, importance=SHOULD),
    ]
    pricing = price(jobs, BOOK)
    lines = lines_by_key(pricing)
    assert pricing.covered == {"1": "work new-hub"}
    assert lines["labour:new-hub"].importance == MUST
    assert lines["labour:new-wheel"].importance == COULD


def test_a_finding_with_some_work_left_is_not_covered():
    pricing = price([job("1", HUB, SPOKES), job("2", NEW_WHEEL)], BOOK)
    assert "labour:spokes" in keys(pricing)
    assert pricing.covered == {}


def test_an_operation_left_out_makes_nothing_needless():
    changes = {"labour:new-wheel": Change(leave_out=True, reason="customer has one")}
    pricing = price([job("1", HUB), job("2", NEW_WHEEL)], BOOK, changes=changes)
    assert lines_by_key(pricing)["labour:hub"].left_out is False
    assert pricing.covered == {}
    assert pricing.totals.whole.net == Decimal("4.80") + 20


def test_a_finding_without_a_remedy_is_to_be_priced_by_hand():
    pricing = price([job("1"), job("2", HUB)], BOOK)
    assert pricing.unpriced == ("1",)


def test_a_remedy_without_work_or_parts_prices_nothing():
    assert price([Job("1", SHOULD, "look again")], BOOK).unpriced == ("1",)


def test_a_line_by_hand_prices_the_findings_it_names():
    pricing = price([job("1"), job("2")], BOOK, hand_lines=[by_hand("a", findings=["2"])])
    assert pricing.unpriced == ("1",)


def test_a_part_whose_operation_nobody_asks_for_is_not_lost():
    assert keys(price([job("1", parts=[part("bell", "nobody")])], BOOK)) == ["part:nobody:bell"]


def test_lines_come_by_finding_access_labour_parts_by_hand_and_sundries_last():
    jobs = [
        job("1", SPOKES, parts=[part("spoke", "spokes")]),
        job("2", HUB, parts=[part("balls", "hub")]),
    ]
    by_person = [by_hand("b", findings=["2"]), by_hand("a", findings=["1"]), by_hand("c")]
    pricing = price(jobs, book(WHEEL, CASSETTE, share="0.1"), hand_lines=by_person)
    assert keys(pricing) == [
        "access:wheel",
        "access:cassette",
        "labour:spokes",
        "part:spokes:spoke",
        "hand:a",
        "labour:hub",
        "part:hub:balls",
        "hand:b",
        "hand:c",
        "sundry:should",
    ]


def test_a_line_by_hand_below_zero_is_a_discount_with_its_vat():
    (line,) = price([], BOOK, hand_lines=[by_hand("a", "-12.50", cost="3")]).lines
    assert (line.net, line.vat, line.gross, line.cost_net) == (
        Decimal("-12.50"),
        Decimal("-2.50"),
        Decimal(-15),
        Decimal(3),
    )
    assert (line.kind, line.reason) == (Kind.HAND, "as agreed")


def test_a_change_by_hand_sets_quantity_and_price_and_keeps_its_reason():
    changes = {
        "labour:hub": Change(quantity=Decimal(30), unit_price_net=Decimal(40), reason="rusty")
    }
    line = lines_by_key(price([job("1", HUB)], BOOK, changes=changes))["labour:hub"]
    assert (line.net, line.cost_net, line.reason) == (20, 10, "rusty")


def test_a_line_left_out_shows_its_amount_and_counts_nothing():
    changes = {"labour:hub": Change(leave_out=True, reason="later")}
    pricing = price([job("1", HUB), job("2", SPOKES)], BOOK, changes=changes)
    line = lines_by_key(pricing)["labour:hub"]
    assert (line.net, line.left_out, line.reason) == (20, True, "later")
    assert pricing.totals.whole.net == Decimal("4.80") + Decimal("3.20") + 4


def test_access_that_only_work_left_out_needs_is_left_out_too():
    changes = {"labour:spokes": Change(leave_out=True, reason="later")}
    lines = lines_by_key(price([job("1", HUB), job("2", SPOKES)], BOOK, changes=changes))
    cassette, wheel = lines["access:cassette"], lines["access:wheel"]
    assert (cassette.left_out, cassette.reason) == (True, "no longer needed")
    assert (wheel.left_out, wheel.findings) == (False, ("1",))


def test_access_is_only_as_pressing_as_the_work_that_is_still_done():
    changes = {"labour:spokes": Change(leave_out=True, reason="later")}
    jobs = [job("1", HUB, importance=COULD), job("2", SPOKES, importance=MUST)]
    assert lines_by_key(price(jobs, BOOK, changes=changes))["access:wheel"].importance == COULD


def test_a_part_goes_with_the_work_that_would_fit_it():
    changes = {"labour:hub": Change(leave_out=True, reason="later")}
    jobs = [job("1", HUB, parts=[part("balls", "hub")])]
    pricing = price(jobs, BOOK, changes=changes)
    line = lines_by_key(pricing)["part:hub:balls"]
    assert (line.left_out, line.reason) == (True, "the work that fits it is left out")
    assert pricing.totals.whole.gross == 0


def test_a_finding_whose_lines_are_all_left_out_is_seen_and_not_unpriced():
    changes = {"labour:hub": Change(leave_out=True, reason="later")}
    pricing = price([job("1", HUB)], BOOK, changes=changes)
    assert pricing.unpriced == ()
    assert all(line.left_out for line in pricing.lines)
    assert all("1" in line.findings for line in pricing.lines)


def test_a_change_whose_line_is_gone_is_ignored_and_reported():
    changes = {"labour:fork": Change(quantity=Decimal(3)), "labour:hub": Change(reason="noted")}
    pricing = price([job("1", HUB)], BOOK, changes=changes)
    assert pricing.stale_changes == ("labour:fork",)


def test_leaving_out_work_that_is_needless_anyway_brings_nothing_back():
    middle = operation("middle", covers=["hub"])
    top = operation("top", covers=["middle"])
    changes = {"labour:middle": Change(leave_out=True)}
    pricing = price([job("1", HUB), job("2", middle), job("3", top)], BOOK, changes=changes)
    assert keys(pricing) == ["labour:top"]
    assert pricing.stale_changes == ("labour:middle",)


def test_a_shop_that_is_not_registered_charges_no_vat_and_shows_no_rates():
    pricing = price([job("1", HUB)], book(WHEEL, registered=False, vat_rates={}))
    assert pricing.totals.whole.vat == 0
    assert pricing.totals.by_rate == ()
    assert all(line.vat_rate == 0 and line.gross == line.net for line in pricing.lines)


def test_a_currency_without_pennies_is_priced_in_whole_units():
    pricing = price([job("1", operation("a", "7"))], book(currency="JPY"))
    (line,) = pricing.lines
    assert (line.net, line.vat) == (6, 1)


def test_nothing_to_do_costs_nothing():
    pricing = price([], book(least="5", share="0.1"))
    assert pricing.lines == ()
    assert pricing.totals.whole.gross == 0


def test_each_access_line_knows_the_labour_that_needs_it():
    jobs = [job("1", HUB), job("2", SPOKES), job("3", NEW_WHEEL)]
    needed_by = {line.key: set(line.needed_by) for line in price(jobs, BOOK).lines}
    assert needed_by.pop("access:wheel") == {"labour:spokes", "labour:new-wheel"}
    assert needed_by.pop("access:cassette") == {"labour:spokes"}
    assert not any(needed_by.values())


@pytest.mark.parametrize(
    ("jobs", "fields", "words"),
    [
        ([job("1", HUB), job("1", SPOKES)], {}, "Finding 1 comes twice"),
        ([job("1", operation("a", band="pilot"))], {}, "No labour rate for the band “pilot”"),
        ([job("1", HUB)], {"vat_rates": {}}, "No VAT rate of the kind “standard”"),
        ([job("1", parts=[part("a", "b", "-1")])], {}, "below zero"),
        ([job("1", parts=[part("a", "b", price="-1")])], {}, "below zero"),
    ],
)
def test_what_cannot_be_priced_is_refused_saying_why(jobs, fields, words):
    with pytest.raises(PricingError, match=words):
        price(jobs, book(WHEEL, CASSETTE, **fields))


def test_an_unknown_access_step_is_refused():
    with pytest.raises(AccessError, match="no access step “wheel”"):
        price([job("1", HUB)], book())


def test_two_lines_by_hand_with_one_key_are_refused():
    with pytest.raises(PricingError, match="Two lines have the key hand:a"):
        price([], BOOK, hand_lines=[by_hand("a"), by_hand("a")])


@pytest.mark.parametrize("field", ["quantity", "unit_price_net"])
def test_a_change_below_zero_is_refused(field):
    with pytest.raises(PricingError, match="below zero"):
        price([job("1", HUB)], BOOK, changes={"labour:hub": Change(**{field: Decimal(-1)})})
