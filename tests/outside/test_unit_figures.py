"""Published conversions of torque, pressure and force, through the reading that a person types."""

from decimal import Decimal

import pint
import pytest

from workshop.core.readings import parse_reading
from workshop.core.units import FACTORS, INCH_MM, POUND_FORCE_N, PSI_BAR, convert


def read(text, unit, decimals):
    return parse_reading(
        text, unit, plausible_min=Decimal(0), plausible_max=Decimal(10_000), decimals=decimals
    )


# 1 of the unit, in, as printed, source
NIST = "NIST SP 811, appendix B.8"
PRINTED = [
    ("lbf·in", "N·m", "0.1129848", NIST),
    ("lbf·ft", "N·m", "1.355818", NIST),
    ("psi", "bar", "0.06894757", NIST),
    ("in", "mm", "25.4", NIST),
    ("lbf", "N", "4.448222", NIST),
    ("kgf", "N", "9.80665", NIST),
    ("kgf·cm", "N·m", "0.0980665", NIST),
    ("lbf", "kgf", "0.45359237", "international yard and pound agreement, 1959"),
    ("kPa", "bar", "0.01", "thecyclemechanic.co.uk, Tyre units of pressure: 100 kPa are 1 bar"),
]


@pytest.mark.parametrize(("given", "wanted", "printed", "source"), PRINTED)
def test_a_factor_is_the_printed_one_to_its_last_digit(given, wanted, printed, source):
    expected = Decimal(printed)
    assert convert(Decimal(1), given, wanted).quantize(expected) == expected, source


# Names in the unit library pint: a second opinion on every factor there is.
PINT = {
    "N·m": "newton * meter",
    "lbf·in": "force_pound * inch",
    "lbf·ft": "force_pound * foot",
    "kgf·cm": "force_kilogram * centimeter",
    "in": "inch",
    "mm": "millimeter",
    "cm": "centimeter",
    "bar": "bar",
    "psi": "psi",
    "kPa": "kilopascal",
    "kgf": "force_kilogram",
    "lbf": "force_pound",
    "N": "newton",
}
PAIRS = [(given, wanted) for wanted, units in FACTORS.items() for given in units]


@pytest.mark.parametrize(("given", "wanted"), PAIRS)
def test_every_factor_is_the_one_of_a_unit_library(given, wanted):
    registry = pint.UnitRegistry()
    expected = registry.Quantity(1, PINT[given]).to(PINT[wanted]).magnitude
    assert float(convert(Decimal(1), given, wanted)) == pytest.approx(expected, rel=1e-12)


def test_the_factors_hang_together():
    # psi is defined as a pound-force on a square inch (NIST SP 811, appendix B.9)
    square_inch = (INCH_MM / 1000) ** 2
    assert abs(POUND_FORCE_N / square_inch - PSI_BAR * 100_000) < Decimal("1e-15")


# in-lb as printed, N·m as printed: Yuba owner's manual, appendix C, Fastener torque specifications
TORQUES = [
    ("174 in-lb", "19.7"),
    ("347 in-lb", "39.2"),
    ("260 in-lb", "29.4"),
    ("130 in-lb", "14.7"),
    ("150 in-lb", "16.9"),
    ("120 in-lb", "13.6"),
    ("144 in-lb", "16.3"),
    ("44 in-lb", "5.0"),
    ("88 in-lb", "9.9"),
    ("70 in-lb", "7.9"),
    ("95 in-lb", "10.7"),
    ("305 in-lb", "34.5"),
    ("391 in-lb", "44.2"),
    ("307 in-lb", "34.7"),
    ("350 in-lb", "39.5"),
    ("60 in-lb", "6.8"),
]


@pytest.mark.parametrize(("typed", "printed"), TORQUES)
def test_a_torque_is_the_one_printed_beside_it(typed, printed):
    assert read(typed, "N·m", 1) == Decimal(printed)


# as typed, bar as printed, source
PRESSURES = [
    ("110 psi", "7.58", "air-mach.net, 110 psi to bar for bike tyres"),
    ("32 psi", "2.21", "calculatorhub.com, Tire pressure unit converter"),
    ("80 psi", "5.52", "calculatorhub.com, Tire pressure unit converter"),
    ("130 psi", "8.96", "calculatorhub.com, Tire pressure unit converter"),
    ("20 psi", "1.38", "calculatorhub.com, Tire pressure unit converter"),
    ("35 psi", "2.41", "calculatorhub.com, Tire pressure unit converter"),
    ("145.04 psi", "10.00", "covertitall.com, Bar to PSI"),
    ("29.01 psi", "2.00", "covertitall.com, Bar to PSI"),
    ("40 psi", "2.8", "thecyclemechanic.co.uk, Tyre units of pressure"),
    ("500 kPa", "5", "thecyclemechanic.co.uk, Tyre units of pressure"),
]


@pytest.mark.parametrize(("typed", "printed", "source"), PRESSURES)
def test_a_pressure_is_the_one_printed_beside_it(typed, printed, source):
    decimals = len(printed.partition(".")[2])
    assert read(typed, "bar", decimals) == Decimal(printed), source
