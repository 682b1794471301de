"""Units: names as people write them, and factors that lead there and back."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from workshop.core.units import FACTORS, UnitError, convert, unit_named, units_for

PAIRS = [(wanted, given) for wanted, units in FACTORS.items() for given in units]


@pytest.mark.parametrize(
    ("text", "unit"),
    [
        ("Nm", "N·m"),
        ("N m", "N·m"),
        ("N.m", "N·m"),
        ("in-lb", "lbf·in"),
        ("in lbs", "lbf·in"),
        ("lbf in", "lbf·in"),
        ("ft·lb", "lbf·ft"),
        ("Inches", "in"),
        ('"', "in"),
        ("MM", "mm"),
        ("mm.", "mm"),
        ("PSI", "psi"),
        ("kg", "kgf"),
        ("%", "%"),
        (" furlongs ", "furlongs"),
    ],
)
def test_a_unit_is_known_by_its_many_names(text, unit):
    assert unit_named(text) == unit


@pytest.mark.parametrize(("wanted", "given_in"), PAIRS)
def test_every_unit_is_known_by_the_name_we_write(wanted, given_in):
    assert unit_named(given_in) == given_in
    assert convert(Decimal(1), given_in, wanted) == FACTORS[wanted][given_in]


@given(st.decimals(-1000, 1000, places=3), st.sampled_from(["mm", "°", "teeth"]))
def test_a_value_in_its_own_unit_is_left_alone(value, unit):
    assert convert(value, unit, unit) == value


@given(st.decimals(1, 1000, places=3))
def test_newtons_and_kilograms_force_lead_back_to_each_other(value):
    back = convert(convert(value, "N", "kgf"), "kgf", "N")
    assert abs(back - value) < Decimal("1e-20")


@pytest.mark.parametrize(("given_in", "wanted"), [("bar", "mm"), ("mm", "bar"), ("N", "N·m")])
def test_units_of_another_kind_are_refused(given_in, wanted):
    with pytest.raises(UnitError, match="cannot be turned into"):
        convert(Decimal(1), given_in, wanted)


def test_the_units_a_reading_may_be_in_are_named():
    assert units_for("bar") == ("bar", "psi", "kPa")
    assert units_for("teeth") == ("teeth",)
