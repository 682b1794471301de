"""The order of work: held to networkx, each access step opened once and closed in good time."""

from __future__ import annotations

from decimal import Decimal
from itertools import permutations

import networkx as nx
import pytest
from hypothesis import given
from hypothesis import strategies as st

from workshop.core.access import AccessError, AccessStep, Operation
from workshop.core.ordering import Act, ActKind, OrderError, order_of

WHEEL = AccessStep("wheel", "Wheel out", Decimal(4), "bench")
TYRE = AccessStep("tyre", "Tyre off", Decimal(4), "bench", frozenset({"wheel"}))
CRANK = AccessStep("crank", "Crank off", Decimal(4), "bench")
STEPS = {each.code: each for each in (WHEEL, TYRE, CRANK)}


def job(code, *access):
    return Operation(code, code, Decimal(10), "bench", frozenset(access))


def words(acts):
    """The order as one line: +wheel hub -wheel."""
    signs = {ActKind.OPEN: "+", ActKind.WORK: "", ActKind.CLOSE: "-"}
    return " ".join(f"{signs[act.kind]}{act.code}" for act in acts)


def test_a_shared_step_is_opened_once_and_closed_once():
    jobs = [job("hub", "wheel"), job("axle", "crank"), job("rim", "wheel")]
    assert words(order_of(jobs, STEPS)) == "+wheel hub rim -wheel +crank axle -crank"


def test_a_step_that_needs_another_is_opened_inside_it():
    jobs = [job("tape", "tyre"), job("hub", "wheel"), job("true", "wheel")]
    assert words(order_of(jobs, STEPS)) == "+wheel hub true +tyre tape -tyre -wheel"


def test_what_needs_no_step_is_done_on_the_whole_bike_at_the_end():
    jobs = [job("brake"), job("hub", "wheel"), job("gears"), job("rim", "wheel")]
    assert words(order_of(jobs, STEPS)) == "+wheel hub rim -wheel brake gears"


def test_a_wait_goes_before_everything_and_still_opens_once():
    jobs = [job("hub", "wheel"), job("brake"), job("rim", "wheel")]
    after = {"brake": ["hub"], "rim": ["brake"]}
    assert words(order_of(jobs, STEPS, after=after)) == "+wheel hub brake rim -wheel"


def test_a_wait_for_something_that_is_not_on_the_card_says_nothing():
    after = {"hub": ["paint", "hub"]}
    assert words(order_of([job("hub", "wheel")], STEPS, after=after)) == "+wheel hub -wheel"


def test_what_is_open_already_is_only_closed():
    acts = order_of([job("hub", "wheel"), job("axle", "crank")], STEPS, opened=["tyre", "wheel"])
    assert words(acts) == "-tyre hub -wheel +crank axle -crank"


def test_nothing_to_do_closes_what_is_open_innermost_first():
    assert words(order_of([], STEPS, opened=["wheel", "tyre"])) == "-tyre -wheel"
    assert order_of([], STEPS) == ()


def test_an_operation_named_twice_is_done_once():
    assert words(order_of([job("hub", "wheel"), job("hub", "wheel")], STEPS)) == "+wheel hub -wheel"


def test_operations_that_wait_for_each_other_are_refused_by_name():
    jobs = [job("a"), job("b"), job("c")]
    with pytest.raises(OrderError, match="a, b") as refusal:
        order_of(jobs, STEPS, after={"a": ["b"], "b": ["a"]})
    assert refusal.value.codes == ("a", "b")


def test_a_step_that_is_not_in_the_catalogue_is_refused():
    with pytest.raises(AccessError, match="hinge"):
        order_of([job("hub", "hinge")], STEPS)


# random cases, against networkx


@st.composite
def cases(draw):
    """Up to seven steps that need earlier ones, up to nine jobs, waits that may go round."""
    steps = {}
    for n in range(draw(st.integers(0, 7))):
        needs = draw(st.sets(st.sampled_from(sorted(steps)), max_size=2)) if steps else set()
        steps[f"s{n}"] = AccessStep(f"s{n}", f"s{n}", Decimal(1), "bench", frozenset(needs))
    some = st.sets(st.sampled_from(sorted(steps)), max_size=3) if steps else st.just(set())
    jobs = [job(f"j{n}", *draw(some)) for n in range(draw(st.integers(0, 9)))]
    names = [each.code for each in jobs]
    waits = st.dictionaries(
        st.sampled_from(names), st.sets(st.sampled_from(names), max_size=2), max_size=4
    )
    return jobs, steps, draw(waits) if names else {}


def graph_of(jobs, steps, after):
    """Everything that must come before something else, as networkx sees it."""
    needs = nx.DiGraph()
    needs.add_nodes_from(steps)
    needs.add_edges_from((need, step.code) for step in steps.values() for need in step.needs)
    graph = nx.DiGraph()
    for each in jobs:
        graph.add_node(Act(ActKind.WORK, each.code))
        for code in each.access:
            for step in {code} | nx.ancestors(needs, code):
                graph.add_edge(Act(ActKind.OPEN, step), Act(ActKind.WORK, each.code))
                graph.add_edge(Act(ActKind.WORK, each.code), Act(ActKind.CLOSE, step))
    for need, step in needs.edges:
        inner, outer = Act(ActKind.OPEN, step), Act(ActKind.OPEN, need)
        if inner in graph:
            graph.add_edge(outer, inner)
            graph.add_edge(Act(ActKind.CLOSE, step), Act(ActKind.CLOSE, need))
    graph.add_edges_from(
        (Act(ActKind.WORK, before), Act(ActKind.WORK, code))
        for code, names in after.items()
        for before in names
        if before != code
    )
    return graph


@given(cases())
def test_the_order_is_one_of_networkx_topological_orders_or_there_is_none(case):
    jobs, steps, after = case
    graph = graph_of(jobs, steps, after)
    if not nx.is_directed_acyclic_graph(graph):
        with pytest.raises(OrderError):
            order_of(jobs, steps, after=after)
        return
    acts = order_of(jobs, steps, after=after)
    assert sorted(acts, key=repr) == sorted(nx.topological_sort(graph), key=repr)
    place = {act: n for n, act in enumerate(acts)}
    assert all(place[before] < place[later] for before, later in graph.edges)
    assert acts == order_of(jobs, steps, after=after)


@given(cases())
def test_no_step_is_opened_twice_and_each_is_closed_right_after_its_last_use(case):
    jobs, steps, _ = case
    acts = order_of(jobs, steps)
    assert len(set(acts)) == len(acts)
    graph = graph_of(jobs, steps, {})
    for n, act in enumerate(acts):
        if act.kind is ActKind.CLOSE:
            last = max(acts.index(user) for user in graph.predecessors(act))
            between = acts[last + 1 : n]
            assert all(other.kind is ActKind.CLOSE for other in between)


def standing(acts):
    """How many steps stand open during work that needs none of them, summed up."""
    count, total = 0, 0
    for act in acts:
        count += {ActKind.OPEN: 1, ActKind.CLOSE: -1}.get(act.kind, 0)
        total += count if act.kind is ActKind.WORK else 0
    return total


@given(st.lists(st.sets(st.sampled_from(["wheel", "tyre", "crank"]), max_size=2), max_size=4))
def test_little_stands_open_that_could_be_closed(accesses):
    """Against every order there is: the best has no less than three quarters standing open."""
    jobs = [job(f"j{n}", *access) for n, access in enumerate(accesses)]
    found = standing(order_of(jobs, STEPS))
    best = min(
        standing(
            order_of(
                jobs,
                STEPS,
                after={row[n].code: [row[n - 1].code] for n in range(1, len(row))},
            )
        )
        for row in permutations(jobs)
    )
    assert 3 * found <= 4 * best
