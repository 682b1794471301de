"""Access steps: each once, what is needed first, and shares that lose nothing."""

from decimal import Decimal

import networkx as nx
import pytest
from hypothesis import given
from hypothesis import strategies as st

from workshop.core.access import (
    AccessError,
    AccessStep,
    Operation,
    closure,
    distinct_steps,
    shares,
    total_minutes,
)

CODES = [f"step-{letter}" for letter in "abcdefgh"]


def step(code, minutes="5", needs=()):
    return AccessStep(code, code, Decimal(minutes), "bench", frozenset(needs))


def book(*steps):
    return {each.code: each for each in steps}


def operation(code, *access, minutes="10"):
    return Operation(code, code, Decimal(minutes), "bench", frozenset(access))


WHEEL = step("wheel", "6")
CASSETTE = step("cassette", "4", ["wheel"])
LOCKRING = step("lockring", "2.5", ["cassette"])
STEPS = book(LOCKRING, CASSETTE, WHEEL)


@st.composite
def step_books(draw):
    """Steps that need only steps before them, in an order drawn anew."""
    needs = {
        code: draw(st.sets(st.sampled_from(CODES[:index]), max_size=3)) if index else set()
        for index, code in enumerate(CODES)
    }
    minutes = st.decimals(0, 40, places=1)
    order = draw(st.permutations(CODES))
    return {code: step(code, draw(minutes), needs[code]) for code in order}


NEEDS = st.dictionaries(
    st.sampled_from(["1", "2", "3", "4", "5"]),
    st.lists(st.sampled_from(CODES), max_size=4),
    max_size=5,
)


def graph(steps):
    """The same needs as a graph of another library: an edge from a step to what it needs."""
    return nx.DiGraph([(code, need) for code, each in steps.items() for need in each.needs])


def reach(steps, codes):
    needs = graph(steps)
    return set(codes).union(*(nx.descendants(needs, code) for code in codes if code in needs))


def test_what_is_needed_comes_first():
    assert closure(["lockring"], STEPS) == (WHEEL, CASSETTE, LOCKRING)


def test_a_step_that_two_operations_need_is_taken_once():
    found = distinct_steps([operation("hub", "wheel"), operation("spokes", "cassette")], STEPS)
    assert found == (WHEEL, CASSETTE)


def test_minutes_are_those_of_the_operations_and_of_the_distinct_steps():
    operations = [operation("hub", "wheel", minutes="25"), operation("spokes", "cassette")]
    assert total_minutes(operations, STEPS) == 25 + 10 + 6 + 4


def test_an_operation_named_twice_is_done_once():
    hub = operation("hub", "wheel", minutes="25")
    assert total_minutes([hub, hub], STEPS) == 31


def test_no_operations_take_no_time():
    assert total_minutes([], STEPS) == 0


def test_an_unknown_step_is_named():
    with pytest.raises(AccessError, match=r"no access step “fork” in the catalogue"):
        distinct_steps([operation("headset", "fork")], STEPS)


def test_steps_that_need_each_other_are_named_in_a_round():
    steps = book(step("a", needs=["b"]), step("b", needs=["c"]), step("c", needs=["b"]))
    with pytest.raises(AccessError, match="b → c → b"):
        closure(["a"], steps)


def test_a_shared_step_is_split_over_the_findings_that_need_it():
    split = shares({"1": ["wheel"], "2": ["cassette"], "3": []}, STEPS)
    assert split == {"1": 3, "2": 7, "3": 0}


def test_a_third_of_ten_minutes_is_split_without_a_loss():
    split = shares(dict.fromkeys("123", ("wheel",)), book(step("wheel", "10")))
    assert sum(split.values()) == 10
    assert set(split.values()) == {Decimal("3.33"), Decimal("3.34")}


def test_a_step_finer_than_a_hundredth_is_split_without_a_loss():
    split = shares({"1": ["wheel"], "2": ["wheel"]}, book(step("wheel", "0.125")))
    assert sum(split.values()) == Decimal("0.125")


@given(step_books(), st.lists(st.sampled_from(CODES), max_size=5))
def test_the_closure_is_what_a_graph_library_reaches_each_once_in_order(steps, codes):
    found = [each.code for each in closure(codes, steps)]
    assert sorted(found) == sorted(reach(steps, codes))
    for place, code in enumerate(found):
        assert steps[code].needs <= set(found[:place])


@given(step_books(), NEEDS)
def test_shares_add_up_to_the_minutes_of_the_distinct_steps(steps, needs):
    reached = reach(steps, {code for codes in needs.values() for code in codes})
    assert sum(shares(needs, steps).values()) == sum(steps[code].minutes for code in reached)


@given(step_books(), NEEDS)
def test_a_finding_without_access_bears_none_and_none_bears_less_than_nothing(steps, needs):
    split = shares(needs, steps)
    assert split.keys() == needs.keys()
    assert all(minutes >= 0 for minutes in split.values())
    assert all(split[finding] == 0 for finding, codes in needs.items() if not codes)
