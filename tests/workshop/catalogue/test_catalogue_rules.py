"""The catalogue's rules, put to the core: every plausible reading is judged, as the trade does."""

import itertools
from decimal import Decimal

import pytest

from workshop.bikes.models import Brake, Frame, Gears, Use
from workshop.core.judgement import Judgement
from workshop.core.wear import BikeFacts, Rule, judge_check, judge_fault

SOUND, WATCH, NEEDS_WORK, UNSAFE = Judgement
NEW_CHAIN = Decimal("304.8")
INCH = Decimal("25.4")


def core_rule(row):
    values = row.values
    return Rule(
        key=values["key"],
        version=1,
        measure=row.refs.get("measure"),
        minus=row.refs.get("minus"),
        fault=row.refs.get("fault"),
        at_least=values["at_least"],
        below=values["below"],
        age_from=values["age_from"],
        age_below=values["age_below"],
        uses=tuple(values["uses"]),
        frames=tuple(values["frames"]),
        brakes=tuple(values["brakes"]),
        gears=tuple(values["gears"]),
        judgement=Judgement(values["judgement"]),
        deal_breaker=values["deal_breaker"],
        source=values["source"],
    )


@pytest.fixture(scope="module")
def rules(rows):
    return [core_rule(row) for row in rows["rule"].values()]


def bike(age=7, use="everyday", brake="rim"):
    return BikeFacts(age, use, "folding", frozenset({brake}), "derailleur")


def verdict(rules, facts=None, /, **readings):
    named = {name.replace("_", "-"): Decimal(str(value)) for name, value in readings.items()}
    return judge_check(named, rules, facts or bike())[0]


def bikes_at(checkpoint):
    """Every kind of bike the checkpoint belongs to, of each age and use that rules tell apart."""
    values = checkpoint.values
    kinds = itertools.product(
        (None, 0, 4, 5, 9, 10, 40),
        Use.values,
        values["frames"] or Frame.values,
        values["brakes"] or Brake.values,
        values["gears"] or Gears.values,
    )
    return [BikeFacts(age, use, frame, frozenset({b}), g) for age, use, frame, b, g in kinds]


def telling(measure, rules):
    """Values that tell the rules apart: the plausible ends, and each limit from both sides."""
    low, high = measure.values["plausible_min"], measure.values["plausible_max"]
    step = Decimal("0.001")
    own = [rule for rule in rules if rule.measure == measure.key[0]]
    limits = {limit for rule in own for limit in (rule.at_least, rule.below) if limit is not None}
    near = {value for limit in limits for value in (limit - step, limit)}
    return sorted({low, high} | {value for value in near if low <= value <= high})


def test_every_plausible_reading_is_judged_for_every_bike(rows, rules):
    for code, measure in rows["measure"].items():
        if code.endswith(("rotor-minimum", "rotor-thickness")):
            continue  # judged together, below
        if measure.values.get("fills"):
            continue  # a size of the bike, which nothing judges
        for facts in bikes_at(rows["checkpoint"][measure.refs["checkpoint"]]):
            for value in telling(measure, rules):
                [found] = judge_check({code: value}, rules, facts)
                assert found.judgement is not None, (code, value, facts)


def test_no_reading_is_judged_better_for_lying_further_off(rows, rules):
    """From small to large a judgement gets better to some point, and worse from it on."""
    for code, measure in rows["measure"].items():
        if code.endswith(("rotor-minimum", "rotor-thickness")) or measure.values.get("fills"):
            continue
        for facts in bikes_at(rows["checkpoint"][measure.refs["checkpoint"]]):
            ranks = [
                judge_check({code: value}, rules, facts)[0].rank
                for value in telling(measure, rules)
            ]
            best = ranks.index(min(ranks))
            assert ranks[:best] == sorted(ranks[:best], reverse=True), (code, facts)
            assert ranks[best:] == sorted(ranks[best:]), (code, facts)


def test_only_a_sound_reading_names_no_fault(rules):
    for rule in rules:
        assert (rule.fault is None) == (rule.judgement == SOUND), rule.key


@pytest.mark.parametrize(
    ("length", "judgement", "fault"),
    [
        (NEW_CHAIN, SOUND, None),
        ("306.38", SOUND, None),
        (NEW_CHAIN + INCH / 16 + Decimal("0.001"), NEEDS_WORK, "chain-worn"),
        ("306.39", NEEDS_WORK, "chain-worn"),
        ("307.974", NEEDS_WORK, "chain-worn"),
        (NEW_CHAIN + INCH / 8, NEEDS_WORK, "chain-worn-with-sprockets"),
        ("315", NEEDS_WORK, "chain-worn-with-sprockets"),
    ],
)
def test_a_chain_is_judged_by_sixteenths_of_an_inch_in_twelve(rules, length, judgement, fault):
    found = verdict(rules, chain_length=length)
    assert (found.judgement, found.fault) == (judgement, fault)


def test_the_first_chain_limit_tells_readings_apart_as_the_exact_one_does(rows):
    exact = NEW_CHAIN + INCH / 16
    limit = rows["rule"]["chain-length-worn"].values["at_least"]
    assert limit - Decimal("0.001") < exact <= limit


@pytest.mark.parametrize(
    ("thickness", "minimum", "judgement"),
    [
        ("1.96", "1.5", SOUND),
        ("1.68", "1.5", SOUND),
        ("1.55", "1.5", WATCH),
        ("1.50", "1.5", WATCH),
        ("1.35", "1.5", UNSAFE),
        ("1.52", "1.55", UNSAFE),
    ],
)
def test_a_rotor_is_judged_by_the_minimum_etched_on_it(rules, thickness, minimum, judgement):
    facts = bike(brake="disc")
    found = verdict(rules, facts, front_rotor_thickness=thickness, front_rotor_minimum=minimum)
    assert found.judgement == judgement


def test_a_rotor_without_an_etched_minimum_cannot_be_judged(rules):
    assert verdict(rules, bike(brake="disc"), front_rotor_thickness="1.2").judgement is None


@pytest.mark.parametrize(
    ("compound", "judgement"),
    [("0.51", WATCH), ("0.5", NEEDS_WORK), ("0.2", UNSAFE), ("2", SOUND)],
)
def test_a_disc_pad_is_renewed_at_half_a_millimetre(rules, compound, judgement):
    assert verdict(rules, bike(brake="disc"), rear_pad=compound).judgement == judgement


@pytest.mark.parametrize(
    ("brake", "run_out", "judgement"),
    [
        ("rim", "1", SOUND),
        ("rim", "1.1", NEEDS_WORK),
        ("disc", "2", SOUND),
        ("disc", "2.1", NEEDS_WORK),
        ("hub", "1.5", SOUND),
        ("hub", "9", UNSAFE),
    ],
)
def test_run_out_may_be_twice_as_much_where_the_rim_is_not_braked_on(
    rules, brake, run_out, judgement
):
    assert verdict(rules, bike(brake=brake), front_lateral=run_out).judgement == judgement


def test_a_rim_wall_of_one_millimetre_is_the_floor(rules):
    assert verdict(rules, front_rim_wall="0.99").judgement == UNSAFE
    assert verdict(rules, front_rim_wall="1").judgement == WATCH
    assert verdict(rules, bike(use="hard"), front_rim_wall="1").judgement == NEEDS_WORK


def test_a_hollow_braking_surface_is_a_finding(rules):
    assert verdict(rules, rear_rim_hollow="0.3").fault == "rear-rim-hollow"


HINGE = [
    (0, "everyday", UNSAFE),
    (4, "light", UNSAFE),
    (5, "everyday", NEEDS_WORK),
    (9, "everyday", NEEDS_WORK),
    (10, "everyday", WATCH),
    (25, "light", WATCH),
    (10, "hard", NEEDS_WORK),
    (None, "everyday", UNSAFE),
]


@pytest.mark.parametrize("hinge", ["main", "stem"])
@pytest.mark.parametrize(("age", "use", "judgement"), HINGE)
def test_a_trace_at_a_hinge_is_judged_by_age_and_use(rules, hinge, age, use, judgement):
    facts = bike(age=age, use=use)
    [measured] = judge_check({f"{hinge}-hinge-play": Decimal("0.2")}, rules, facts)
    felt = judge_fault(f"{hinge}-hinge-trace", NEEDS_WORK, False, rules, facts)
    assert (measured.judgement, measured.fault) == (judgement, f"{hinge}-hinge-trace")
    assert felt.judgement == judgement


@pytest.mark.parametrize("age", [0, 7, 30, None])
def test_clear_movement_at_a_hinge_is_unsafe_at_any_age(rules, age):
    found = verdict(rules, bike(age=age), main_hinge_play="0.3")
    assert (found.judgement, found.fault) == (UNSAFE, "main-hinge-play")


def test_a_hinge_without_movement_is_sound_at_any_age(rules):
    assert verdict(rules, bike(age=0), main_hinge_play="0").judgement == SOUND


def test_insertion_marks_must_stay_hidden(rules):
    assert verdict(rules, seat_post_mark="-1").judgement == UNSAFE
    assert verdict(rules, seat_post_mark="0").judgement == SOUND
    assert verdict(rules, stem_mark="-5").judgement == UNSAFE
