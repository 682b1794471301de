"""Units that gauges and rulers are marked in, and their exact factors to the units we keep."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

# Exact by definition: international yard and pound agreement of 1959 (NIST SP 811, appendix B).
INCH_MM = Decimal("25.4")
POUND_KG = Decimal("0.45359237")
GRAVITY = Decimal("9.80665")  # m/s², exact: standard acceleration (NIST SP 811, appendix B)

POUND_FORCE_N = POUND_KG * GRAVITY
POUND_FORCE_INCH_NM = POUND_FORCE_N * INCH_MM / 1000  # 0.112 984 8 N·m
PSI_BAR = POUND_FORCE_N / (INCH_MM / 1000) ** 2 / 100_000  # 0.068 947 57 bar

ONE = Decimal(1)

# Unit kept → unit read → factor. Units are named as ``unit_named`` gives them.
FACTORS: Mapping[str, Mapping[str, Decimal]] = {
    "mm": {"mm": ONE, "cm": Decimal(10), "in": INCH_MM},
    "bar": {"bar": ONE, "psi": PSI_BAR, "kPa": Decimal("0.01")},
    "N·m": {
        "N·m": ONE,
        "lbf·in": POUND_FORCE_INCH_NM,
        "lbf·ft": POUND_FORCE_INCH_NM * 12,
        "kgf·cm": GRAVITY / 100,
    },
    "kgf": {"kgf": ONE, "N": ONE / GRAVITY, "lbf": POUND_KG},
    "N": {"N": ONE, "kgf": GRAVITY, "lbf": POUND_FORCE_N},
}

NAMES: Mapping[str, str] = {
    "millimetre": "mm",
    "millimetres": "mm",
    "inch": "in",
    "inches": "in",
    '"': "in",
    "″": "in",
    "kpa": "kPa",
    "n": "N",
    "kg": "kgf",
    "lb": "lbf",
    "lbs": "lbf",
    "nm": "N·m",
    "n·m": "N·m",
    "lb·in": "lbf·in",
    "in·lb": "lbf·in",
    "in·lbs": "lbf·in",
    "in·lbf": "lbf·in",
    "lbfin": "lbf·in",
    "lb·ft": "lbf·ft",
    "ft·lb": "lbf·ft",
    "ft·lbs": "lbf·ft",
    "ft·lbf": "lbf·ft",
    "kg·cm": "kgf·cm",
    "degree": "°",
    "degrees": "°",
    "deg": "°",
    "percent": "%",
}


class UnitError(ValueError):
    """Raised where a value's unit cannot be turned into the one wanted."""


def unit_named(text: str) -> str:
    """Return a unit as we write it: ``inches`` → ``in``, ``in-lb`` → ``lbf·in``, ``Nm`` → ``N·m``.

    A unit we don't know comes back as it was written, without the space around it.
    """
    plain = text.strip()
    joined = plain
    for mark in ("-", "*", "⋅", ".", " "):
        joined = joined.replace(mark, "·")
    known = {name.lower(): name for names in FACTORS.values() for name in names}
    folded = joined.lower().strip("·")
    return NAMES.get(folded) or known.get(folded) or plain


def convert(value: Decimal, given: str, wanted: str) -> Decimal:
    """Return a value given in one unit in another, not rounded.

    Raises ``UnitError`` where one cannot be turned into the other.
    """
    given, wanted = unit_named(given), unit_named(wanted)
    if given == wanted:
        return value
    factor = FACTORS.get(wanted, {}).get(given)
    if factor is None:
        raise UnitError(f"“{given}” cannot be turned into {wanted}.")
    return value * factor


def shown_in(value: Decimal, kept: str, wanted: str) -> Decimal:
    """Return a value that we keep in one unit in another that gauges are marked in, not rounded.

    Raises ``UnitError`` where it cannot be turned into that.
    """
    return value / convert(ONE, wanted, kept)


def units_for(wanted: str) -> tuple[str, ...]:
    """Return the units a value may be read in where we keep it in ``wanted``."""
    return tuple(FACTORS.get(unit_named(wanted), {wanted: ONE}))
