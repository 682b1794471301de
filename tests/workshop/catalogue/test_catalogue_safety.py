"""The catalogue where life hangs on it: work has its cautions, and no kind of bike is left out."""

import itertools

import pytest

from workshop.bikes.models import Brake, Frame, Gears
from workshop.core.judgement import Judgement

KINDS = [
    {"frames": frame, "brakes": brake, "gears": gears}
    for frame, brake, gears in itertools.product(Frame.values, Brake.values, Gears.values)
]


def is_meant_for(row, kind):
    return all(not row.values[field] or value in row.values[field] for field, value in kind.items())


def unsafe_faults(rows):
    by_rule = {
        row.refs["fault"]
        for row in rows["rule"].values()
        if row.values["judgement"] == Judgement.UNSAFE
    }
    return {
        code
        for code, row in rows["fault"].items()
        if code in by_rule or row.values["default_judgement"] == Judgement.UNSAFE
    }


def operations_that_cure(rows, faults):
    remedies = {
        option["remedy"] for code in faults for option in rows["fault"][code].links["remedies"]
    }
    return {
        link["operation"] for code in remedies for link in rows["remedy"][code].links["operations"]
    }


def operations_that_fit_safety_critical_parts(rows):
    return {
        link["operation"]
        for row in rows["remedy"].values()
        for link in row.links["parts"]
        if rows["part"][link["part"]].values["safety_critical"]
    }


ONLY_LOOKS = {"alignment-check"}
"""Measures before anything is decided: nothing is loosened or fitted."""


def test_what_cures_something_unsafe_has_a_caution(rows):
    for code in operations_that_cure(rows, unsafe_faults(rows)) - ONLY_LOOKS:
        assert rows["operation"][code].values["caution"], code


def test_what_fits_a_safety_critical_part_has_a_caution_or_a_torque(rows):
    for code in operations_that_fit_safety_critical_parts(rows):
        values = rows["operation"][code].values
        assert values["caution"] or values["torque_low_nm"], code


@pytest.mark.parametrize(
    "words",
    [
        ("rust-treat", "no flame"),
        ("paint-touch-up", "no flame"),
        ("cavity-wax", "no flame"),
        ("paint-strip-inspect", "lead"),
        ("front-tyre-inflate", "short bursts"),
        ("rear-disc-bleed", "goggles"),
        ("coaster-service", "never blown out"),
        ("rear-hub-brake-shoes-renew", "never blow out"),
    ],
)
def test_work_with_chemicals_dust_or_compressed_air_says_how_it_hurts_nobody(rows, words):
    operation, said = words
    assert said in rows["operation"][operation].values["caution"].lower()


def test_every_kind_of_bike_has_a_remedy_for_each_fault_that_has_any(rows):
    for code, fault in rows["fault"].items():
        offered = [rows["remedy"][option["remedy"]] for option in fault.links["remedies"]]
        checkpoint = rows["checkpoint"][fault.refs["checkpoint"]]
        for kind in KINDS:
            if offered and is_meant_for(checkpoint, kind):
                assert any(is_meant_for(each, kind) for each in offered), (code, kind)


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: " ".join(kind.values()))
def test_a_bike_is_offered_nothing_for_brakes_that_it_does_not_have(rows, kind):
    others = set(Brake.values) - {kind["brakes"]}
    at = {other: remedies_only_for(rows, other) for other in others}
    for fault in rows["fault"].values():
        for option in fault.links["remedies"]:
            if is_meant_for(rows["remedy"][option["remedy"]], kind):
                for other, remedies in at.items():
                    assert option["remedy"] not in remedies, (kind, other, option["remedy"])


def remedies_only_for(rows, brake):
    """Return the remedies that only the checkpoints of one kind of brake propose, a ride apart."""
    mine, others = set(), set()
    for fault in rows["fault"].values():
        checkpoint = rows["checkpoint"][fault.refs["checkpoint"]]
        found = {option["remedy"] for option in fault.links["remedies"]}
        if checkpoint.values["brakes"] == [brake]:
            mine |= found
        elif fault.refs["checkpoint"] != "road-test":
            others |= found
    return mine - others


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: " ".join(kind.values()))
def test_the_walk_looks_at_all_that_carries_the_rider(rows, kind):
    walk = {code for code, row in rows["checkpoint"].items() if is_meant_for(row, kind)}
    for places in (
        {"fork"}, {"headset"}, {"stem"}, {"handlebar"}, {"brake-levers"}, {"head-tube"},
        {"frame-beam", "down-tube"}, {"rear-beam", "seat-tube"}, {"rear-stays", "chainstays"},
        {"dropouts"}, {"seat-post"}, {"seat-clamp"}, {"saddle"}, {"bottom-bracket"}, {"cranks"},
        {"pedals", "right-pedal"}, {"front-wheel"}, {"rear-wheel"}, {"front-axle"},
        {"rear-axle"}, {"front-tyre"}, {"rear-tyre"}, {"road-test"},
    ):  # fmt: skip
        assert walk & places, places
    cracked = {row.refs["checkpoint"] for code, row in rows["fault"].items() if "rim-crack" in code}
    assert {"front-wheel", "rear-wheel"} <= cracked & walk


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: " ".join(kind.values()))
def test_the_release_check_looks_at_brakes_drive_and_joints_of_every_kind(rows, kind):
    items = {code for code, row in rows["release_item"].items() if is_meant_for(row, kind)}
    assert {"brakes-independent", "steering-free", "stem-holds", "wheels-secure"} <= items
    assert {"seat-post-holds", "torque-fasteners", "road-test"} <= items
    assert len(items & {"rim-blocks-set", "discs-clean", "hub-brake-arm"}) == 1
    assert ("gears-stay" in items) == (kind["gears"] != Gears.SINGLE)
    assert ("chain-tension" in items) == (kind["gears"] in {Gears.SINGLE, Gears.HUB})
    folding = {"hinges-locked", "folding-pedal-locks", "folds-clear"}
    assert items & folding == (folding if kind["frames"] == Frame.FOLDING else set())
