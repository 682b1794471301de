"""What fits what: tyres and rims by the bead seat diameter of ISO 5775."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

# Nominal rim diameters in mm: ISO 5775-1 and -2.
ISO_SEATS_MM = (203, 305, 349, 355, 406, 451, 507, 540, 559, 571, 584, 590, 597, 622, 630)

# Further ones in makers' and dealers' tables of equivalents; 635 and 642 are common on roadsters.
OTHER_SEATS_MM = (288, 369, 457, 489, 490, 501, 635, 642)

BEAD_SEATS_MM = tuple(sorted((*ISO_SEATS_MM, *OTHER_SEATS_MM)))

# Bead seats in mm of sizes as they are called in inches: ETRTO tables of equivalents. Only what
# names one diameter: 26 alone may be any of five, 16 × 1 3/8 either of two.
CALLED: Mapping[str, int] = {
    "18 x 1.75": 355,
    "20 x 1 1/8": 451,
    "20 x 1.75": 406,
    "24 x 1.75": 507,
    "26 x 1 3/8": 590,
    "26 x 1.75": 559,
    "27 x 1 1/4": 630,
}

# Old French sizes: outer diameter in mm and letter → bead seat in mm.
FRENCH: Mapping[tuple[str, str], int] = {
    ("650", "A"): 590,
    ("650", "B"): 584,
    ("650", "C"): 571,
    ("700", "C"): 622,
}

# Rim's inner width in mm → narrowest and widest tyre in mm.  # from memory: ETRTO charts
WIDTH_CHART: Mapping[int, tuple[int, int]] = {
    13: (18, 25),
    15: (23, 32),
    17: (25, 50),
    19: (28, 62),
    21: (35, 62),
    23: (40, 64),
    25: (44, 64),
}

TYRE = re.compile(r"(?:ETRTO\s*)?([0-9]{2,3})\s*-\s*([0-9]{3})", re.IGNORECASE)
FRENCH_SIZE = re.compile(r"([0-9]{3})(?:\s*x\s*[0-9]{2})?\s*([ABC])", re.IGNORECASE)
RIM = re.compile(r"(?:ETRTO\s*)?([0-9]{3})\s*x\s*([0-9]{2})\s*T?C?", re.IGNORECASE)


class SizeError(ValueError):
    """Raised for a size that cannot be read; its text says how to write it."""


@dataclass(frozen=True, slots=True)
class TyreSize:
    """A tyre: width of its section and bead seat diameter, both in mm."""

    width_mm: int
    bead_seat_mm: int

    @property
    def outer_diameter_mm(self) -> int:
        """Return about how large the tyre stands: bead seat and two sections."""
        return self.bead_seat_mm + 2 * self.width_mm

    def __str__(self) -> str:
        """Return the designation of ISO 5775-1, width-diameter."""
        return f"{self.width_mm}-{self.bead_seat_mm}"


@dataclass(frozen=True, slots=True)
class RimSize:
    """A rim: bead seat diameter and inner width, both in mm; an unknown width is None."""

    bead_seat_mm: int
    inner_width_mm: int | None = None


def _plain(text: str) -> str:
    """Return a size with one kind of dash, times sign and space."""
    for sign, plain in (("–", "-"), ("‑", "-"), ("×", "x"), ("X", "x"), (",", ".")):
        text = text.replace(sign, plain)
    return " ".join(text.split())


def parse_tyre(text: str) -> TyreSize:
    """Return a tyre's size from its designation such as ``32-597``.

    Raises ``SizeError`` for anything else and for a diameter that no table names.
    """
    match = TYRE.fullmatch(_plain(text))
    if match is None:
        raise SizeError(f"“{text}” is no tyre size. Write width-diameter in mm, such as 32-597.")
    size = TyreSize(int(match[1]), int(match[2]))
    if size.bead_seat_mm not in BEAD_SEATS_MM:
        raise SizeError(f"No tyre is made for {size.bead_seat_mm} mm. Read its side wall again.")
    return size


def parse_rim(text: str) -> RimSize:
    """Return a rim's size from its designation such as ``622 x 19C``.

    Raises ``SizeError`` for anything else and for a diameter that no table names.
    """
    match = RIM.fullmatch(_plain(text))
    if match is None:
        raise SizeError(f"“{text}” is no rim size. Write diameter × width, such as 622 × 19C.")
    size = RimSize(int(match[1]), int(match[2]))
    if size.bead_seat_mm not in BEAD_SEATS_MM:
        raise SizeError(f"No rim is made with {size.bead_seat_mm} mm. Read it again.")
    return size


def bead_seat(called: str) -> int:
    """Return the bead seat diameter in mm of a size as it is called: ``26 × 1 3/8``, ``700 × 28C``.

    Takes designations of tyres too. Raises ``SizeError`` for a name that is not known to mean
    one diameter.
    """
    plain = _plain(called)
    if TYRE.fullmatch(plain):
        return parse_tyre(plain).bead_seat_mm
    french = FRENCH_SIZE.fullmatch(plain)
    if french and (french[1], french[2].upper()) in FRENCH:
        return FRENCH[french[1], french[2].upper()]
    for name, diameter in CALLED.items():
        if name.replace(" ", "") == plain.replace(" ", ""):
            return diameter
    raise SizeError(f"“{called}” may mean several diameters. Read the one in mm off the side wall.")


def fits(tyre: TyreSize, rim: RimSize) -> bool:
    """Tell whether a tyre goes on a rim: only if their diameters are equal (ISO 5775-1)."""
    return tyre.bead_seat_mm == rim.bead_seat_mm


def on_chart(tyre: TyreSize, rim: RimSize) -> bool | None:
    """Tell whether a tyre's width is on the chart for a rim, None where the chart has no row.

    Off the chart is a hint to ask the maker, never by itself a fault: editions differ.
    """
    row = WIDTH_CHART.get(rim.inner_width_mm or 0)
    return None if row is None else row[0] <= tyre.width_mm <= row[1]
