"""The cheapest plan is the cheapest: held against trying every choice."""

from __future__ import annotations

from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from quotes.core.plan import cheapest_plan, closed_covers, cost_of, next_best, plain_sum
from quotes.core.planning import Candidate, Limits, NoPlanError, Tariff, Work
from tests.quotes.core.instances import large_instance

FINDINGS = ("f0", "f1", "f2", "f3")
OPERATIONS = ("o0", "o1", "o2", "o3")
STEPS = ("s0", "s1", "s2")
PARTS = ("p0", "p1")


def subsets(items):
    return st.frozensets(st.sampled_from(items))


@st.composite
def cases(draw):
    codes = [f"c{n}" for n in range(draw(st.integers(1, 6)))]
    candidates = []
    for code in codes:
        works = tuple(
            Work(
                operation,
                draw(st.integers(1, 3)),
                draw(st.dictionaries(st.sampled_from(PARTS), st.integers(1, 3), max_size=1)),
            )
            for operation in draw(st.lists(st.sampled_from(OPERATIONS), unique=True, max_size=2))
        )
        cures = draw(st.frozensets(st.sampled_from(FINDINGS), min_size=1, max_size=2))
        needs = draw(st.frozensets(st.sampled_from(codes), max_size=1)) - {code}
        penalty = draw(st.integers(0, 400))
        candidates.append(
            Candidate(code, cures, works, penalty, needs if draw(st.booleans()) else frozenset())
        )
    findings = tuple(sorted(draw(subsets(FINDINGS))))
    unit = {code: draw(st.integers(0, 3000)) for code in (*OPERATIONS, *PARTS)}
    tariff = Tariff(
        labour={(o, n): unit[o] * n for o in OPERATIONS for n in (1, 2, 3)},
        parts={(p, n): unit[p] * n for p in PARTS for n in (1, 2, 3)},
        steps={s: draw(st.integers(0, 2000)) for s in STEPS},
        access={o: draw(subsets(STEPS)) for o in OPERATIONS},
        covers={
            o: draw(st.frozensets(st.sampled_from(OPERATIONS), max_size=1)) - {o}
            for o in OPERATIONS
        },
    )
    pairs = [frozenset(pair) for pair in combinations(codes, 2)]
    exclude = draw(st.frozensets(st.sampled_from(pairs), max_size=2)) if pairs else frozenset()
    limits = Limits(
        exclude,
        draw(st.frozensets(st.sampled_from(codes), max_size=1)),
        draw(st.frozensets(st.sampled_from(codes), max_size=1)),
    )
    return findings, candidates, tariff, limits


def allowed(findings, chosen, limits):
    codes = {each.code for each in chosen}
    return (
        all(any(f in each.cures for each in chosen) for f in findings)
        and limits.locked <= codes
        and not limits.barred & codes
        and not any(pair <= codes for pair in limits.exclude)
        and all(each.needs <= codes for each in chosen)
        and each_has_a_finding(list(findings), list(chosen))
    )


def each_has_a_finding(findings, chosen):
    """Whether every chosen candidate can be given a finding that is given to no other."""
    if not chosen:
        return True
    first, *rest = chosen
    return any(
        each_has_a_finding([each for each in findings if each != finding], rest)
        for finding in findings
        if finding in first.cures
    )


def every_sound_leaving_out(asked, covers):
    """Every set of operations that may be left out: each covered by one that is done."""
    for size in range(len(asked) + 1):
        for out in combinations(sorted(asked), size):
            done = asked - set(out)
            if all(any(code in covers.get(d, ()) for d in done) for code in out):
                yield frozenset(out)


def by_trying_everything(findings, candidates, tariff, limits):
    covers = closed_covers(tariff.covers)
    best = None
    for size in range(len(candidates) + 1):
        for chosen in combinations(candidates, size):
            if not allowed(findings, chosen, limits):
                continue
            asked = {work.operation for each in chosen for work in each.works}
            for out in every_sound_leaving_out(asked, covers):
                total = cost_of(chosen, tariff, out) + sum(each.penalty for each in chosen)
                best = total if best is None else min(best, total)
    return best


@settings(max_examples=300, deadline=None)
@given(cases())
def test_plan_costs_what_the_best_of_all_choices_costs(case):
    findings, candidates, _, limits = case
    best = by_trying_everything(*case)
    if best is None:
        with pytest.raises(NoPlanError):
            cheapest_plan(*case)
        return
    plan = cheapest_plan(*case)
    chosen = [each for each in candidates if each.code in plan.chosen]
    assert plan.cost + plan.penalty == best
    assert allowed(findings, chosen, limits)
    assert set(plan.cured_by) == set(findings)


def test_a_shared_step_makes_two_dear_remedies_cheaper_than_two_cheap_ones():
    tariff = Tariff(
        labour={
            ("hub", 1): 500,
            ("rim", 1): 500,
            ("hub-in-place", 1): 900,
            ("rim-in-place", 1): 900,
        },
        parts={},
        steps={"wheel-out": 600},
        access={"hub": frozenset({"wheel-out"}), "rim": frozenset({"wheel-out"})},
    )
    candidates = [
        Candidate("a", frozenset({"hub plays"}), (Work("hub"),)),
        Candidate("b", frozenset({"hub plays"}), (Work("hub-in-place"),)),
        Candidate("c", frozenset({"rim bent"}), (Work("rim"),)),
        Candidate("d", frozenset({"rim bent"}), (Work("rim-in-place"),)),
    ]
    plan = cheapest_plan(["hub plays", "rim bent"], candidates, tariff)
    assert plan.chosen == ("a", "c")
    assert (plan.cost, plan.plain_sum, plan.saving) == (1600, 1800, 200)
    assert plan.steps == ("wheel-out",)


def test_a_new_wheel_makes_the_hub_service_needless():
    tariff = Tariff(
        labour={("new-wheel", 1): 2000, ("hub-service", 1): 1500},
        parts={("wheel", 100): 4000},
        steps={},
        covers={"new-wheel": frozenset({"hub-service"})},
    )
    candidates = [
        Candidate("wheel", frozenset({"rim hollow"}), (Work("new-wheel", 1, {"wheel": 100}),)),
        Candidate("hub", frozenset({"hub plays"}), (Work("hub-service"),)),
    ]
    plan = cheapest_plan(["rim hollow", "hub plays"], candidates, tariff)
    assert plan.cost == 6000
    assert plan.needless == ("hub-service",)


def test_a_finding_whose_remedy_needs_anothers_is_not_named_for_a_conflict_of_others():
    """The sprockets' remedy needs the chain's, which cures only the chain: both can be cured."""
    work = (Work("o0"),)
    candidates = [
        Candidate("new-chain", frozenset({"chain"}), work),
        Candidate("new-block", frozenset({"sprockets"}), work, needs=frozenset({"new-chain"})),
        Candidate("one-wheel", frozenset({"hub"}), work),
        Candidate("other-wheel", frozenset({"rim"}), work),
    ]
    limits = Limits(exclude=frozenset({frozenset({"one-wheel", "other-wheel"})}))
    tariff = Tariff({("o0", 1): 100}, {}, {})
    with pytest.raises(NoPlanError) as caught:
        cheapest_plan(("chain", "hub", "rim", "sprockets"), candidates, tariff, limits)
    assert caught.value.findings == ("hub", "rim")


def test_a_conflict_names_only_the_findings_that_conflict():
    tariff = Tariff(labour={}, parts={}, steps={})
    candidates = [Candidate(code, frozenset({code.upper()}), ()) for code in ("a", "b", "c")]
    limits = Limits(exclude=frozenset({frozenset({"a", "b"})}))
    with pytest.raises(NoPlanError) as caught:
        cheapest_plan(["A", "B", "C"], candidates, tariff, limits)
    assert set(caught.value.findings) == {"A", "B"}


def test_a_finding_without_any_remedy_is_named():
    with pytest.raises(NoPlanError, match="rust"):
        cheapest_plan(["rust"], [], Tariff(labour={}, parts={}, steps={}))


def test_nothing_found_costs_nothing():
    plan = cheapest_plan([], [], Tariff(labour={}, parts={}, steps={}))
    assert (plan.cost, plan.chosen) == (0, ())


def test_plain_sum_takes_the_cheapest_remedy_of_each_finding():
    tariff = Tariff(labour={("x", 1): 300, ("y", 1): 200}, parts={}, steps={})
    candidates = [
        Candidate("a", frozenset({"f"}), (Work("x"),)),
        Candidate("b", frozenset({"f"}), (Work("y"),)),
    ]
    assert plain_sum(["f"], candidates, tariff) == 200


@pytest.mark.parametrize("seed", [0, 2, 5])
def test_sixty_findings_three_remedies_fifteen_packages_are_solved_to_a_proven_optimum(seed):
    findings, candidates, tariff = large_instance(seed)
    plan = cheapest_plan(findings, candidates, tariff)
    assert plan.proven
    assert set(plan.cured_by) == set(findings)
    assert plan.saving > 0
    every_one_by_itself = [
        next(each for each in candidates if finding in each.cures) for finding in findings
    ]
    assert plan.cost < cost_of(every_one_by_itself, tariff)


def test_what_is_chosen_is_chosen_for_a_finding():
    """A dear cover is not chosen for nothing, only to spare the work of another remedy."""
    tariff = Tariff(
        labour={("big", 1): 100, ("small", 1): 500},
        parts={},
        steps={},
        covers={"big": frozenset({"small"})},
    )
    candidates = [
        Candidate("renew", frozenset({"f"}), (Work("big"),)),
        Candidate("adjust", frozenset({"f"}), (Work("small"),)),
    ]
    plan = cheapest_plan(["f"], candidates, tariff)
    assert (plan.chosen, plan.cured_by) == (("renew",), {"f": "renew"})


def test_of_plans_that_cost_the_same_the_one_that_changes_least_is_taken():
    tariff = Tariff(labour={("x", 1): 300, ("y", 1): 300}, parts={}, steps={})
    candidates = [
        Candidate("a", frozenset({"f"}), (Work("x"),)),
        Candidate("b", frozenset({"f"}), (Work("y"),)),
    ]
    for now in ("a", "b"):
        plan = cheapest_plan(["f"], candidates, tariff, Limits(keep={"f": now}))
        assert plan.cured_by == {"f": now}
    dearer = Tariff(labour={("x", 1): 301, ("y", 1): 300}, parts={}, steps={})
    plan = cheapest_plan(["f"], candidates, dearer, Limits(keep={"f": "a"}))
    assert plan.cured_by == {"f": "b"}


def test_the_next_best_plan_cures_one_finding_otherwise():
    tariff = Tariff(labour={("x", 1): 300, ("y", 1): 200, ("z", 1): 50}, parts={}, steps={})
    candidates = [
        Candidate("a", frozenset({"f"}), (Work("x"),)),
        Candidate("b", frozenset({"f"}), (Work("y"),)),
        Candidate("c", frozenset({"g"}), (Work("z"),)),
    ]
    plan = cheapest_plan(["f", "g"], candidates, tariff)
    other = next_best("f", plan, candidates, tariff)
    assert other is not None
    assert other.cured_by == {"f": "a", "g": "c"}
    assert other.cost - plan.cost == 100
    assert next_best("g", plan, candidates, tariff) is None
