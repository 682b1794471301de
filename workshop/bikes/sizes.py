"""The sizes of a bike that decide which parts fit it: what is plausible, and how each is read."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal


@dataclass(frozen=True, slots=True)
class Size:
    """A size: the least and the most that is plausible, in its own unit, and how it is read."""

    least: Decimal
    most: Decimal
    how: str


def _size(least: str, most: str, how: str) -> Size:
    return Size(Decimal(least), Decimal(most), how)


# Ranges in mm, speeds in sprockets: wider than anything common.  # common practice, no source
SIZES: Mapping[str, Size] = {
    "rim_inner_mm": _size(
        "10", "60", "Tyre off, between the rim’s flanges. Often stamped: 19 of 622 × 19C."
    ),
    "widest_tyre_mm": _size(
        "15",
        "130",
        "The narrowest gap for the tyre in fork, rear frame, brakes and mudguards, less the room "
        "to be left each side: 4 mm on a road bike, 6 mm on others.",
    ),
    "shell_width_mm": _size(
        "60", "125", "Calliper across the faces of the shell, cups’ flanges not counted: 68, 73 …"
    ),
    "spindle_mm": _size("90", "180", "Cranks off, from end to end: 113, 119, 122.5 …"),
    "steerer_mm": _size(
        "20", "45", "Outside, above the crown or where the stem sits: 25.4, 28.6 …"
    ),
    "front_axle_mm": _size(
        "60", "160", "Between the fork’s dropouts, inside, or over the hub’s locknuts: 74, 100 …"
    ),
    "rear_axle_mm": _size(
        "80", "200", "Between the rear dropouts, inside, or over the hub’s locknuts: 110, 135 …"
    ),
    "chain_mm": _size(
        "1.5", "6", "Between the inner plates: 3.2 is the wide chain (1/8 in), 2.4 the narrow one."
    ),
    "chain_speeds": _size("1", "14", "Sprockets at the back; 1 with a hub gear."),
    "post_mm": _size("20", "40", "Calliper on the post, twice, a quarter turn apart: 27.2, 31.8 …"),
}

WORDS: Mapping[str, str] = {
    "bead_seat_mm": "The last figure on the tyre: 406 of 37-406.",
    "shell_thread": "Stamped on the cup’s face, or by the way it undoes: a right cup that undoes "
    "clockwise has a left-hand thread (BSC, Swiss).",
    "spindle_kind": "A crank off, or through the hole of its dust cap.",
    "steerer_kind": "A big locknut above the frame is threaded; a stem with bolts at its back "
    "clamps round a plain one.",
    "front_dropout": "What the front axle sits in.",
    "rear_dropout": "What the rear axle sits in.",
    "pad_shape": "As it is called on the packet or in the stock list.",
}


def how_to(name: str) -> str:
    """Return how a size is read, in a sentence, or nothing."""
    return SIZES[name].how if name in SIZES else WORDS.get(name, "")
