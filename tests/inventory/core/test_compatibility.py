"""Tyres and rims: sizes as people write them, and what fits."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.core.compatibility import (
    BEAD_SEATS_MM,
    CALLED,
    FRENCH,
    RimSize,
    SizeError,
    TyreSize,
    bead_seat,
    fits,
    on_chart,
    parse_rim,
    parse_tyre,
)

SEATS = st.sampled_from(BEAD_SEATS_MM)


@pytest.mark.parametrize("text", ["32-597", "32 - 597", "32–597", "ETRTO 32-597", " 32-597 "])
def test_a_tyres_size_is_read_however_it_is_spaced(text):
    assert parse_tyre(text) == TyreSize(32, 597)


@pytest.mark.parametrize("text", ["622x19C", "622 × 19", "622 x 19TC", "etrto 622X19c"])
def test_a_rims_size_is_read_however_it_is_spaced(text):
    assert parse_rim(text) == RimSize(622, 19)


@pytest.mark.parametrize("text", ["", "26 × 1.75", "597", "32-", "32/597", "3-597", "32-5970"])
def test_what_is_no_tyre_size_is_refused_with_an_example(text):
    with pytest.raises(SizeError, match="such as 32-597"):
        parse_tyre(text)


@pytest.mark.parametrize("text", ["", "19-622", "622", "622 × 190C"])
def test_what_is_no_rim_size_is_refused_with_an_example(text):
    with pytest.raises(SizeError, match="such as 622 × 19C"):
        parse_rim(text)


@pytest.mark.parametrize(("parse", "text"), [(parse_tyre, "32-598"), (parse_rim, "598 × 19")])
def test_a_diameter_that_is_not_made_is_refused(parse, text):
    with pytest.raises(SizeError, match="598 mm"):
        parse(text)


@given(st.integers(18, 64), SEATS)
def test_a_tyres_size_is_read_back_as_it_is_written(width, diameter):
    size = TyreSize(width, diameter)
    assert parse_tyre(str(size)) == size


@given(st.integers(18, 64), SEATS, SEATS)
def test_a_tyre_fits_exactly_the_rims_of_its_own_diameter(width, tyre, rim):
    assert fits(TyreSize(width, tyre), RimSize(rim)) is (tyre == rim)


def test_every_size_as_called_means_a_diameter_that_is_made():
    called = {bead_seat(name) for name in CALLED} | {bead_seat("".join(name)) for name in FRENCH}
    assert called <= set(BEAD_SEATS_MM)


@pytest.mark.parametrize(
    ("called", "diameter"),
    [
        ("26×1 3/8", 590),
        ("26 x 1,75", 559),
        ("700c", 622),
        ("37-349", 349),
        ("700 × 28C", 622),
        ("650 x 42b", 584),
        ("650A", 590),
    ],
)
def test_a_size_as_called_is_read_however_it_is_written(called, diameter):
    assert bead_seat(called) == diameter


@pytest.mark.parametrize(
    "called", ["26", "16 inch", "700", "700D", "650 x 42", "20 x 1 1/8 or so", ""]
)
def test_a_size_that_may_mean_several_diameters_is_refused(called):
    with pytest.raises(SizeError, match="side wall"):
        bead_seat(called)


def test_a_width_off_the_chart_is_told_from_one_without_a_row():
    tyre = TyreSize(23, 622)
    assert on_chart(tyre, RimSize(622, 13)) is True
    assert on_chart(tyre, RimSize(622, 19)) is False
    assert on_chart(tyre, RimSize(622, 14)) is None
    assert on_chart(tyre, RimSize(622)) is None


def test_the_chart_takes_both_ends_of_a_row():
    widths = [18, 25, 17, 26]
    chart = [on_chart(TyreSize(width, 622), RimSize(622, 13)) for width in widths]
    assert chart == [True, True, False, False]


def test_a_tyre_stands_as_high_as_its_bead_seat_and_two_sections():
    assert TyreSize(32, 349).outer_diameter_mm == 413
