"""Does it fit: yes only where all that is kept agrees, no where one thing differs."""

import itertools
from decimal import Decimal

import pytest

from inventory.core.fitting import NAMES, TOLERANCES, Answer, Facts, does_it_fit, tells, together

D = Decimal
SIZES = {
    "bead_seat_mm": (406, 349),
    "shell_width_mm": (D(68), D(73)),
    "shell_thread": ("BSC", "Italian"),
    "spindle_kind": ("square taper, JIS", "splined"),
    "spindle_mm": (D("122.5"), D(110)),
    "steerer_mm": (D("28.6"), D("25.4")),
    "steerer_kind": ("threaded", "plain"),
    "axle_mm": (D(100), D(74)),
    "dropout": ("open slot", "closed, 12 mm"),
    "chain_mm": (D("3.2"), D("2.4")),
    "chain_speeds": (9, 10),
    "brake_kind": ("rim brakes", "disc brakes"),
    "pad_shape": ("long block", "round disc pad"),
    "post_mm": (D("31.8"), D("33.9")),
}


def test_every_fact_that_is_compared_is_tried_here():
    assert set(SIZES) == set(NAMES)


@pytest.mark.parametrize("name", SIZES)
def test_each_fact_tells_yes_no_and_unknown(name):
    ours, other = SIZES[name]
    part = Facts(**{name: ours})
    assert does_it_fit(part, Facts(**{name: ours})).answer is Answer.YES
    different = does_it_fit(part, Facts(**{name: other}))
    assert different.answer is Answer.NO
    assert str(other) in different.reasons[0]
    silent = does_it_fit(part, Facts())
    assert silent.answer is Answer.UNKNOWN
    assert NAMES[name] in silent.reasons[0]


def test_one_difference_is_enough_for_no_and_stands_first():
    part = Facts(shell_width_mm=D(68), shell_thread="BSC", spindle_mm=D(113))
    fit = does_it_fit(part, Facts(shell_width_mm=D(68), shell_thread="Italian"))
    assert fit.answer is Answer.NO
    assert "thread differs" in fit.reasons[0]
    assert len(fit.reasons) == 3


def test_a_part_of_which_nothing_is_kept_is_unknown():
    assert does_it_fit(Facts(), Facts(bead_seat_mm=406)).answer is Answer.UNKNOWN


YES, NO, UNKNOWN = Answer.YES, Answer.NO, Answer.UNKNOWN


def expected(answers):
    """The logic of three values, written the other way round from the code."""
    if NO in answers:
        return NO
    return YES if answers and all(each is YES for each in answers) else UNKNOWN


@pytest.mark.parametrize("length", range(5))
def test_no_beats_unknown_beats_yes_in_every_combination(length):
    for answers in itertools.product(Answer, repeat=length):
        assert together(answers) is expected(answers), answers


@pytest.mark.parametrize("names", list(itertools.combinations(SIZES, 3)))
def test_three_facts_at_a_time_in_every_state_come_to_what_the_logic_says(names):
    """Each fact may be kept of the part or not, and be the same, another or not known there."""
    states = ("not kept", YES, NO, UNKNOWN)
    for combination in itertools.product(states, repeat=len(names)):
        part, bike = {}, {}
        for name, state in zip(names, combination, strict=True):
            ours, other = SIZES[name]
            if state != "not kept":
                part[name] = ours
            if state is YES:
                bike[name] = ours
            elif state in {NO, "not kept"}:
                bike[name] = other
        fit = does_it_fit(Facts(**part), Facts(**bike))
        wanted = [state for state in combination if state != "not kept"]
        assert fit.answer is expected(wanted), (names, combination)
        assert fit.agrees == wanted.count(YES)
        assert len(fit.reasons) == max(len(wanted), 1)
        assert tells(Facts(**part)) is bool(wanted)


@pytest.mark.parametrize("name", TOLERANCES)
def test_a_measured_size_may_be_off_by_as_much_as_one_measures_and_no_more(name):
    nominal, slack = SIZES[name][0], TOLERANCES[name]
    part = Facts(**{name: nominal})
    for off in (slack, -slack):
        assert does_it_fit(part, Facts(**{name: nominal + off})).answer is YES
        assert does_it_fit(part, Facts(**{name: nominal + off * D("1.02")})).answer is NO
    measured = does_it_fit(part, Facts(**{name: nominal + slack}))
    assert "agrees" in measured.reasons[0]


# what a bike has at both ends

ENDS = [None, "wanted", "other"]


@pytest.mark.parametrize("field", ["axle_mm", "dropout"])
@pytest.mark.parametrize("end", ["front", "rear", ""])
@pytest.mark.parametrize("front", ENDS)
@pytest.mark.parametrize("rear", ENDS)
def test_a_part_for_one_end_asks_that_end_and_one_for_any_end_asks_both(field, end, front, rear):
    wanted, other = SIZES[field]
    words = {None: None if field == "axle_mm" else "", "wanted": wanted, "other": other}
    bike = Facts(**{f"front_{field}": words[front], f"rear_{field}": words[rear]})
    fit = does_it_fit(Facts(**{field: wanted}, axle_end=end), bike)
    answers = {None: UNKNOWN, "wanted": YES, "other": NO}
    if end:
        assert fit.answer is answers[front if end == "front" else rear]
        assert end in fit.reasons[0]
    else:
        both = {answers[front], answers[rear]}
        assert fit.answer is (both.pop() if len(both) == 1 else UNKNOWN)


def test_what_was_measured_for_the_part_in_hand_goes_before_what_is_kept():
    part = Facts(axle_mm=D(135), axle_end="rear")
    bike = Facts(rear_axle_mm=D(130), front_axle_mm=D(100), axle_mm=D(135))
    assert does_it_fit(part, bike).answer is YES


# tyres


def test_a_tyre_needs_room_and_where_nothing_was_measured_that_is_said():
    tyre = Facts(bead_seat_mm=622, section_mm=47)
    assert does_it_fit(tyre, Facts(bead_seat_mm=622, widest_tyre_mm=47)).answer is YES
    tight = does_it_fit(tyre, Facts(bead_seat_mm=622, widest_tyre_mm=42))
    assert tight.answer is NO
    assert "47 mm, room for 42 mm" in tight.reasons[0]
    silent = does_it_fit(tyre, Facts(bead_seat_mm=622))
    assert (silent.answer, silent.agrees) == (UNKNOWN, 1)
    assert "room for 47 mm" in silent.reasons[0]


def test_a_wider_chain_is_no_but_may_run_without_a_derailleur():
    wide = does_it_fit(Facts(chain_mm=D("3.2")), Facts(chain_mm=D("2.4")))
    assert wide.answer is NO
    assert "Without a derailleur" in wide.reasons[0]
    narrow = does_it_fit(Facts(chain_mm=D("2.4")), Facts(chain_mm=D("3.2")))
    assert "derailleur" not in narrow.reasons[0]


def test_a_tyre_off_the_chart_of_the_rim_is_a_question_not_a_no():
    tyre = Facts(bead_seat_mm=622, section_mm=62)
    fit = does_it_fit(tyre, Facts(bead_seat_mm=622, rim_inner_mm=13))
    assert fit.answer is Answer.UNKNOWN
    assert "off the chart" in fit.reasons[0]
    assert does_it_fit(tyre, Facts(bead_seat_mm=622, rim_inner_mm=21)).answer is Answer.YES


def test_a_thinner_post_is_no_but_a_shim_is_named():
    fit = does_it_fit(Facts(post_mm=D("31.8")), Facts(post_mm=D("33.9")))
    assert fit.answer is Answer.NO
    assert "shim" in fit.reasons[0]
    assert "shim" not in does_it_fit(Facts(post_mm=D("33.9")), Facts(post_mm=D("31.8"))).reasons[0]


def test_spelling_does_not_matter():
    part, bike = Facts(pad_shape="Long block"), Facts(pad_shape="long block ")
    assert does_it_fit(part, bike).answer is Answer.YES
