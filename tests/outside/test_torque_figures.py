"""Torques of the catalogue against the printed tables that they are taken from."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal

import pytest

from workshop.catalogue.loading import default_folder
from workshop.catalogue.loading.entries import read_folder
from workshop.catalogue.loading.rows import rows_of
from workshop.core.units import convert

YUBA = "Yuba owner's manual, appendix C, Fastener torque specifications"
VILLAGE = "villagecycle.com, Torque specifications"
MEMORY = "# from memory: owner's manual of a maker, handlebar clamp bolts of a welded stem"

# fastener as the table calls it, lbf·in from and to as printed, operations, source
PRINTED = [
    (
        "stem wedge (binder) bolt, quill type",
        *("174", "260"),
        ("stem-set", "stem-renew", "expander-renew", "folding-stem-renew"),
        YUBA,
    ),
    (
        "threaded headset locknut",
        *("130", "150"),
        ("headset-adjust", "headset-service", "headset-renew", "headset-bearings-renew"),
        YUBA,
    ),
    (
        "seat fixing bolt (seat rail binder)",
        *("174", "347"),
        ("saddle-secure", "saddle-renew", "saddle-clamp-renew"),
        YUBA,
    ),
    ("crank bolts", "305", "391", ("cranks-tighten", "left-crank-renew", "chainset-renew"), YUBA),
    ("chainring bolt (aluminium)", "44", "88", ("chainring-renew", "chainring-bolts-renew"), YUBA),
    (
        "pedal (into crank)",
        *("307", "350"),
        ("pedals-renew", "right-pedal-renew", "folding-pedal-renew"),
        YUBA,
    ),
    (
        "coaster brake, brake-arm clamp bolt",
        *("18", "27"),
        ("front-brake-arm-secure", "rear-brake-arm-secure"),
        VILLAGE,
    ),
    (
        "handlebar clamp bolts",
        *("100", "120"),
        ("handlebar-secure", "handlebar-renew", "stem-bolts-renew"),
        MEMORY,
    ),
]

# fastener, N·m from and to as printed, operations
PROS = "bikemaintenancepros.com, Torque specs"
PRINTED_NM = [
    ("disc brake calliper mount", "6", "8", ("front-disc-adjust", "rear-disc-calliper-renew")),
    ("disc rotor bolts (6-bolt)", "4", "6", ("front-rotor-renew", "rear-rotor-renew")),
    ("brake cable anchor", "6", "8", ("front-brake-cable-renew", "rear-brake-cable-renew")),
    ("derailleur mounting bolt", "8", "10", ("rear-derailleur-renew",)),
    ("seat-post clamp (single bolt)", "5", "7", ("seat-clamp-adjust", "seat-clamp-renew")),
]


@pytest.fixture(scope="module")
def operations():
    problems: list[object] = []
    found = rows_of(read_folder(default_folder(), problems, country="GB"), problems)
    return {row.values["code"]: row.values for row in found if row.kind == "operation"}


def newton_metres(pound_inches):
    exact = convert(Decimal(pound_inches), "lbf·in", "N·m")
    return exact.quantize(Decimal("0.1"), ROUND_HALF_UP)


@pytest.mark.parametrize(("fastener", "low", "high", "codes", "source"), PRINTED)
def test_a_torque_is_the_one_printed_for_its_fastener(
    operations, fastener, low, high, codes, source
):
    for code in codes:
        found = operations[code]
        wanted = (newton_metres(low), newton_metres(high))
        assert (found["torque_low_nm"], found["torque_high_nm"]) == wanted, (fastener, source)


@pytest.mark.parametrize(("fastener", "low", "high", "codes"), PRINTED_NM)
def test_a_torque_of_common_practice_is_the_usual_one(operations, fastener, low, high, codes):
    for code in codes:
        found = operations[code]
        wanted = (Decimal(low), Decimal(high))
        assert (found["torque_low_nm"], found["torque_high_nm"]) == wanted, (fastener, PROS)


def test_pinch_bolts_of_a_crank_are_told_apart_from_a_bolt_in_the_axle(operations):
    """villagecycle.com, Torque specifications: double pinch bolts 106-132 lb·in (12-15 N·m)."""
    assert (newton_metres("106"), newton_metres("132")) == (Decimal("12.0"), Decimal("14.9"))
    for code in ("cranks-tighten", "left-crank-renew", "chainset-renew"):
        assert "12 to 15 N·m" in operations[code]["caution"]
