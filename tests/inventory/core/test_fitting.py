"""Does it fit: yes only where all that is kept agrees, no where one thing differs."""

from decimal import Decimal

import pytest

from inventory.core.fitting import NAMES, Answer, Facts, does_it_fit

D = Decimal
SIZES = {
    "bead_seat_mm": (406, 349),
    "shell_width_mm": (D(68), D(73)),
    "shell_thread": ("BSC", "Italian"),
    "spindle_kind": ("square taper, JIS", "splined"),
    "spindle_mm": (D("122.5"), D(110)),
    "steerer_mm": (D("28.6"), D("25.4")),
    "axle_mm": (D(100), D(74)),
    "chain_mm": (D("3.2"), D("2.4")),
    "chain_speeds": (9, 10),
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
