"""Judging readings and faults by rules: ranges, ages, kinds of bike, the worst of all rows."""

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from workshop.core.judgement import Judgement, worst
from workshop.core.wear import (
    BikeFacts,
    Rule,
    chain_elongation,
    judge_check,
    judge_fault,
    judge_readings,
)

SOUND, WATCH, WORK, UNSAFE = Judgement
FACTS = BikeFacts(
    age_years=7, use="everyday", frame="folding", brakes=frozenset({"rim"}), gears="hub"
)
AGES = st.none() | st.integers(0, 40)


def rule(key="row", **given_fields):
    plain = Rule(
        key=key,
        version=1,
        measure="chain-length",
        minus=None,
        fault="chain-worn",
        at_least=None,
        below=None,
        age_from=None,
        age_below=None,
        uses=(),
        frames=(),
        brakes=(),
        gears=(),
        judgement=WORK,
        deal_breaker=False,
        source="common practice, no source",
    )
    return replace(plain, **given_fields)


CHAIN = (
    rule("fine", below=Decimal("306.4"), judgement=SOUND, fault=None),
    rule("worn", at_least=Decimal("306.4"), below=Decimal(308)),
    rule("gone", at_least=Decimal(308), judgement=UNSAFE, fault="chain-gone"),
)


def judge_chain(length, facts=FACTS, rules=CHAIN):
    (found,) = judge_check({"chain-length": Decimal(length)}, rules, facts)
    return found


@pytest.mark.parametrize(
    ("length", "key"),
    [
        ("304.8", "fine"),
        ("306.399", "fine"),
        ("306.4", "worn"),
        ("307.999", "worn"),
        ("308", "gone"),
    ],
)
def test_a_row_holds_from_its_lower_end_to_just_below_its_upper(length, key):
    assert judge_chain(length).rule.key == key


def test_a_verdict_carries_judgement_fault_row_and_measure():
    found = judge_chain("309")
    assert (found.judgement, found.fault, found.measure) == (UNSAFE, "chain-gone", "chain-length")
    assert found.deal_breaker is False


def test_a_sound_reading_names_no_fault():
    found = judge_chain("305")
    assert (found.judgement, found.fault) == (SOUND, None)


def test_a_reading_that_no_row_is_about_is_not_judged():
    (found,) = judge_check({"play": Decimal(1)}, CHAIN, FACTS)
    assert (found.judgement, found.fault, found.rule, found.measure) == (None, None, None, "play")


def test_of_rows_that_overlap_the_worst_holds():
    rules = (rule("watch", judgement=WATCH), rule("unsafe", judgement=UNSAFE), rule("work"))
    assert judge_chain("305", rules=rules).rule.key == "unsafe"


def test_of_equally_bad_rows_the_first_holds():
    assert judge_chain("305", rules=(rule("first"), rule("second"))).rule.key == "first"


def test_any_matching_row_can_make_it_a_deal_breaker():
    rules = (rule("unsafe", judgement=UNSAFE), rule("cracked", deal_breaker=True))
    found = judge_chain("305", rules=rules)
    assert (found.rule.key, found.deal_breaker) == ("unsafe", True)


THIN = (
    rule("thin", measure="rotor", minus="rotor-least", below=Decimal(0), judgement=UNSAFE),
    rule("thick", measure="rotor", minus="rotor-least", at_least=Decimal(0), judgement=SOUND),
)


@pytest.mark.parametrize(
    ("rotor", "judgement"), [("1.68", SOUND), ("1.5", SOUND), ("1.35", UNSAFE)]
)
def test_a_reading_is_judged_against_another_one(rotor, judgement):
    readings = {"rotor": Decimal(rotor), "rotor-least": Decimal("1.5")}
    found = {each.measure: each for each in judge_check(readings, THIN, FACTS)}
    assert found["rotor"].judgement == judgement
    assert found["rotor-least"].judgement is None


def test_without_the_other_reading_it_is_not_judged():
    (found,) = judge_check({"rotor": Decimal(1)}, THIN, FACTS)
    assert found.judgement is None


@pytest.mark.parametrize(
    ("condition", "matches"),
    [
        ({"age_from": 7}, True),
        ({"age_from": 8}, False),
        ({"age_below": 8}, True),
        ({"age_below": 7}, False),
        ({"uses": ("hard",)}, False),
        ({"uses": ("hard", "everyday")}, True),
        ({"frames": ("diamond",)}, False),
        ({"frames": ("folding",)}, True),
        ({"brakes": ("disc",)}, False),
        ({"brakes": ("rim", "disc")}, True),
        ({"gears": ("derailleur",)}, False),
        ({"gears": ("hub",)}, True),
    ],
)
def test_a_row_is_only_about_the_bikes_it_names(condition, matches):
    assert (judge_chain("305", rules=(rule(**condition),)).judgement is not None) is matches


def test_a_bike_of_unknown_age_matches_every_age():
    rules = (rule("young", age_below=5, judgement=UNSAFE), rule("old", age_from=10))
    assert judge_chain("305", replace(FACTS, age_years=None), rules).rule.key == "young"


def test_verdicts_come_worst_first_and_those_not_judged_last():
    rules = (*CHAIN, rule(measure="play", judgement=WATCH))
    readings = {"width": Decimal(3), "play": Decimal(1), "chain-length": Decimal(310)}
    assert [each.measure for each in judge_readings(readings, rules, FACTS)] == [
        "chain-length",
        "play",
        "width",
    ]
    assert [each.measure for each in judge_check(readings, rules, FACTS)] == list(readings)


HINGE = (
    rule("new", measure=None, fault="hinge-play", age_below=5, judgement=UNSAFE, deal_breaker=True),
    rule("old", measure=None, fault="hinge-play", age_from=10, judgement=WATCH),
)


def judge_hinge(age, rules=HINGE):
    return judge_fault("hinge-play", WORK, False, rules, replace(FACTS, age_years=age))


@pytest.mark.parametrize(
    ("age", "judgement", "key", "breaks"),
    [
        (0, UNSAFE, "new", True),
        (4, UNSAFE, "new", True),
        (5, WORK, None, False),
        (9, WORK, None, False),
        (10, WATCH, "old", False),
        (None, UNSAFE, "new", True),
    ],
)
def test_a_trace_of_play_is_judged_by_age(age, judgement, key, breaks):
    found = judge_hinge(age)
    assert (found.judgement, found.deal_breaker) == (judgement, breaks)
    assert (found.rule.key if found.rule else None) == key


def test_an_unknown_age_is_not_let_off_by_a_row_for_old_bikes():
    assert judge_hinge(None, HINGE[1:]).judgement == WORK


def test_a_fault_without_rows_keeps_its_own_judgement():
    found = judge_fault("stays-bent", UNSAFE, True, HINGE, FACTS)
    assert (found.judgement, found.rule, found.deal_breaker) == (UNSAFE, None, True)


def test_a_row_about_a_measure_says_nothing_of_a_fault_that_was_seen():
    found = judge_fault("chain-worn", WATCH, False, CHAIN, FACTS)
    assert (found.judgement, found.rule) == (WATCH, None)


ROWS = st.lists(
    st.builds(
        rule,
        key=st.sampled_from(["a", "b", "c"]),
        measure=st.sampled_from([None, "chain-length"]),
        fault=st.just("fault"),
        at_least=st.none() | st.decimals(300, 305, places=1),
        below=st.none() | st.decimals(305, 310, places=1),
        age_from=st.none() | st.integers(0, 12),
        age_below=st.none() | st.integers(0, 12),
        judgement=st.sampled_from(Judgement),
        deal_breaker=st.booleans(),
    ),
    max_size=6,
)


@given(ROWS, st.decimals(295, 315, places=1), AGES)
def test_a_reading_is_judged_as_the_worst_row_written_out_by_hand(rules, length, age):
    hits = [
        each
        for each in rules
        if each.measure
        and (each.at_least is None or length >= each.at_least)
        and (each.below is None or length < each.below)
        and (age is None or age >= (each.age_from or 0))
        and (age is None or each.age_below is None or age < each.age_below)
    ]
    found = judge_chain(length, replace(FACTS, age_years=age), rules)
    assert found.judgement == worst(each.judgement for each in hits)
    assert found.deal_breaker is any(each.deal_breaker for each in hits)


@given(ROWS, st.sampled_from(Judgement), st.booleans())
def test_an_unknown_age_is_judged_as_the_worst_age_there_is(rules, default, breaks):
    def judged(age):
        return judge_fault("fault", default, breaks, rules, replace(FACTS, age_years=age))

    assert judged(None).judgement == worst(judged(age).judgement for age in range(20))


@given(st.integers(1, 60))
def test_a_new_chain_is_not_longer_than_new(pitches):
    assert chain_elongation(pitches * Decimal("12.7"), pitches) == 0


@pytest.mark.parametrize(("length", "pitches"), [("0", 24), ("-1", 24), ("304.8", 0)])
def test_a_chain_is_measured_over_something(length, pitches):
    with pytest.raises(ValueError, match="above zero"):
        chain_elongation(Decimal(length), pitches)
