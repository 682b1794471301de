"""Scales: ticks are round, hold the figures and are not too many."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quotes.charts.scale import nice_scale, nice_step

FIGURE = st.floats(-1e6, 1e6, allow_nan=False)


def mantissa(step):
    """The step's first figure: 1, 2 or 5 where it is a round one."""
    return round(step / 10 ** math.floor(math.log10(step) + 1e-9), 6)


@pytest.mark.parametrize(
    ("span", "most", "step"),
    [(10, 10, 1), (10, 6, 2), (10, 2, 5), (0.7, 7, 0.1), (1234, 5, 500), (1, 1, 1)],
)
def test_steps_are_one_two_or_five(span, most, step):
    assert nice_step(span, most) == pytest.approx(step)


@pytest.mark.parametrize(("span", "most"), [(0, 5), (-1, 5), (float("nan"), 5), (10, 0)])
def test_a_scale_of_nothing_is_refused(span, most):
    with pytest.raises(ValueError, match="span above zero"):
        nice_step(span, most)


@given(FIGURE, st.floats(1e-3, 1e6), st.integers(2, 12))
def test_ticks_are_round_hold_the_figures_and_are_few(low, span, most):
    scale = nice_scale(low, low + span, 0, 100, most=most)
    step = scale.ticks[1] - scale.ticks[0]
    slack = 1e-6 * max(abs(low), span, 1)
    assert scale.low <= low + slack
    assert scale.high >= low + span - slack
    assert len(scale.ticks) <= most + 3
    assert step == pytest.approx(nice_step((low + span) - low, most), rel=1e-3)
    assert mantissa(nice_step(span, most)) in {1, 2, 5}


def test_places_run_from_start_to_end():
    scale = nice_scale(0, 10, 300, 20)
    assert (scale.at(0), scale.at(5), scale.at(10)) == (300, 160, 20)


def test_a_single_figure_has_room_about_it():
    scale = nice_scale(5, 5, 0, 100)
    assert scale.low < 5 < scale.high
