"""The catalogue's files: enough of everything, in walk order, nothing left hanging."""

import datetime as dt
import itertools
import math
import re

import pytest

from workshop.bikes.models import Brake, Frame, Gears
from workshop.core.judgement import Importance, Judgement
from workshop.inspections.models import Zone

BY_HAND = {"top-tube-dent", "frame-out-of-line", "road-test-noise"}
"""Faults whose work differs so much that it is priced by hand."""

DRAWING_WIDTH, DRAWING_HEIGHT = 640, 420
LEAST_DISTANCE = 26  # two marks under one thumb, in the drawings' units

PROPER_WORDS = {"I", "ISO", "EN", "VAT", "NIST", "SP", "N", "N·m", "B"}


def texts(row):
    return [value for value in row.values.values() if isinstance(value, str)]


def applies_together(one, other, field):
    a, b = one.values[field], other.values[field]
    return not a or not b or set(a) & set(b)


@pytest.mark.parametrize(
    ("kind", "least"),
    [
        ("checkpoint", 50),
        ("operation", 60),
        ("access_step", 20),
        ("remedy", 90),
        ("part", 80),
        ("measure", 20),
        ("rule", 60),
    ],
)
def test_there_are_enough_of_each_kind(rows, kind, least):
    assert len(rows[kind]) >= least


def test_the_walk_goes_from_front_to_back(rows):
    walk = sorted(rows["checkpoint"].values(), key=lambda row: row.values["order"])
    orders = [row.values["order"] for row in walk]
    assert len(set(orders)) == len(orders)
    zones = [zone for zone, _ in itertools.groupby(walk, key=lambda row: row.values["zone"])]
    assert zones == Zone.values


@pytest.mark.parametrize(
    "place",
    [
        *("main-hinge", "main-clamp", "stem-hinge", "stem-clamp", "rear-pivot", "rear-stays"),
        *("chainstay-bridge", "folding-pedal", "seat-clamp", "transport-wheels", "fold-lock"),
    ],
)
def test_a_folding_bike_is_walked_round_as_one(rows, place):
    frames = rows["checkpoint"][place].values["frames"]
    assert not frames or "folding" in frames


@pytest.mark.parametrize("frame", Frame.values)
@pytest.mark.parametrize("brake", Brake.values)
@pytest.mark.parametrize("gears", Gears.values)
def test_every_kind_of_bike_has_both_brakes_a_chain_and_sprockets(rows, frame, brake, gears):
    wanted = {"frames": frame, "brakes": brake, "gears": gears}
    walk = {
        code
        for code, row in rows["checkpoint"].items()
        if all(
            not row.values[field] or value in row.values[field] for field, value in wanted.items()
        )
    }
    for end in ("front", "rear"):
        brakes = {f"{end}-rim-brake", f"{end}-disc-brake", f"{end}-hub-brake"}
        assert len(walk & brakes) == 1
    assert len(walk & {"chain", "chain-wide"}) == 1
    assert len(walk & {"sprockets", "hub-sprocket"}) == 1
    assert ("hub-gear" in walk) == (gears in {"hub", "both"})


def test_every_checkpoint_says_how_to_test_and_what_fools_the_test(rows):
    for code, row in rows["checkpoint"].items():
        assert len(row.values["how_to_test"]) > 40, code
        assert len(row.values["what_fools"]) > 40, code
        assert row.values["how_to_isolate"], code


def test_every_checkpoint_has_a_fault_and_every_fault_plain_words(rows):
    at = {row.refs["checkpoint"] for row in rows["fault"].values()}
    assert at == set(rows["checkpoint"])
    for code, row in rows["fault"].items():
        assert row.values["words"].endswith("."), code


@pytest.mark.parametrize("drawing", Frame.values)
def test_checkpoints_stand_on_the_drawing_and_apart_from_each_other(rows, drawing):
    drawn = []
    for code, row in rows["checkpoint"].items():
        frames = row.values["frames"]
        x, y = row.values[f"{drawing}_x"], row.values[f"{drawing}_y"]
        assert (x is not None) == (not frames or drawing in frames), code
        if x is not None:
            assert 0 < x < DRAWING_WIDTH, code
            assert 0 < y < DRAWING_HEIGHT, code
            drawn.append((code, row, (x, y)))
    for (code, row, here), (other, other_row, there) in itertools.combinations(drawn, 2):
        if all(applies_together(row, other_row, field) for field in ("brakes", "gears")):
            assert math.dist(here, there) >= LEAST_DISTANCE, (code, other)


def test_every_fault_but_a_deal_breaker_has_a_remedy_or_is_priced_by_hand(rows):
    without = {
        code
        for code, row in rows["fault"].items()
        if not row.links["remedies"] and not row.values["deal_breaker"]
    }
    assert without == BY_HAND


def test_many_faults_can_be_cured_in_more_than_one_way(rows):
    several = [row for row in rows["fault"].values() if len(row.links["remedies"]) > 1]
    assert len(several) >= 80


def test_every_remedy_cures_something_and_every_part_operation_and_step_is_used(rows):
    used = {"remedy": set(), "operation": set(), "part": set(), "access_step": set()}
    for row in rows["fault"].values():
        used["remedy"] |= {option["remedy"] for option in row.links["remedies"]}
    used["remedy"] |= {row.refs["remedy"] for row in rows["package"].values()}
    for row in rows["remedy"].values():
        used["operation"] |= {step["operation"] for step in row.links["operations"]}
        used["part"] |= {part["part"] for part in row.links["parts"]}
    for row in rows["operation"].values():
        used["access_step"] |= {step["accessstep"] for step in row.links["access"]}
    for kind, codes in used.items():
        assert codes == set(rows[kind]), kind


def test_cracked_metal_is_a_deal_breaker_wherever_it_is_found(rows):
    cracked = [
        row
        for row in rows["fault"].values()
        if re.search("weld|dropout crack", row.values["name"], re.IGNORECASE)
    ]
    assert {row.refs["checkpoint"] for row in cracked} >= {
        *("fork", "stem-hinge", "head-tube", "main-hinge", "frame-beam", "rear-beam"),
        *("top-tube", "down-tube", "rear-stays", "chainstays", "seatstays", "dropouts"),
    }
    for row in cracked:
        assert row.values["deal_breaker"], row.key
        assert row.values["default_judgement"] == Judgement.UNSAFE, row.key


def test_rear_stays_bent_by_fold_and_drop_are_a_deal_breaker(rows):
    bent = rows["fault"]["rear-stays-bent"]
    assert bent.values["deal_breaker"]
    assert not bent.links["remedies"]


def test_play_at_the_rear_pivot_can_never_wait(rows):
    for code in ("rear-pivot-trace", "rear-pivot-play"):
        assert rows["fault"][code].values["importance"] in {Importance.MUST, Importance.SHOULD}


def test_a_hinge_that_is_too_stiff_and_bubbling_paint_are_findings(rows):
    for code in ("main-hinge-stiff", "stem-hinge-stiff", "frame-beam-bubbles"):
        assert rows["fault"][code].values["default_judgement"] == Judgement.NEEDS_WORK


def test_a_new_wheel_makes_work_on_the_old_one_needless(rows):
    covered = {
        link["to_operation"] for link in rows["operation"]["front-wheel-renew"].links["covers"]
    }
    assert {"front-hub-adjust-grease", "front-wheel-true", "front-wheel-rebuild"} <= covered


def test_covering_reaches_all_the_way_down(rows):
    covers = {
        code: {link["to_operation"] for link in row.links["covers"]}
        for code, row in rows["operation"].items()
    }
    for code, covered in covers.items():
        for each in covered:
            assert covers[each] <= covered, (code, each)


def test_the_chain_takes_sprockets_and_chainring_with_it(rows):
    for remedy in ("chain-and-cassette-renew", "chain-and-sprocket-renew"):
        parts = {part["part"] for part in rows["remedy"][remedy].links["parts"]}
        assert "chainring" in parts
        assert parts & {"cassette", "sprocket"}


def test_each_band_has_a_rate_before_and_from_this_year(rows):
    for band in rows["band"]:
        dates = sorted(
            r.values["valid_from"] for r in rows["rate"].values() if r.refs["band"] == band
        )
        assert dates[0] < dt.date(2026, 1, 1) == dates[-1]


def test_parts_are_sold_above_their_cost_even_at_worst(rows):
    for code, row in rows["part"].items():
        values = row.values
        worst = values["cost_high_net"] or values["cost_net"]
        assert (values["cost_low_net"] or 0) <= values["cost_net"] <= worst
        assert values["price_net"] >= worst, code


def test_torques_have_both_ends_and_a_source(rows):
    for code, row in rows["operation"].items():
        low, high = row.values["torque_low_nm"], row.values["torque_high_nm"]
        assert (low is None) == (high is None) == (not row.values["torque_source"]), code
        assert low is None or 0 < low <= high, code


def test_every_rule_has_a_source(rows):
    for key, row in rows["rule"].items():
        assert len(row.values["source"]) > 10, key


NAME_STATUTES = {"vat_rate", "pool_rule", "margin_legend", "retention_rule"}


def test_no_name_of_a_maker_stands_in_the_catalogue(rows):
    """Makers' names are capitalised within a sentence; the trade's own words are not."""
    inside = re.compile(r"(?<![.:;?!] )(?<!^)(?<=[ (])([A-Z][\w.·-]*)")
    for kind in rows.keys() - NAME_STATUTES:
        for code, row in rows[kind].items():
            for text in texts(row):
                strange = set(inside.findall(text)) - PROPER_WORDS
                assert not strange, (kind, code, strange)
