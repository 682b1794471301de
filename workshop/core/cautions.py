"""What whoever rides is to mind once work is done, in plain words, by place on the bike.

The cautions of operations are for the bench; these are for whoever rides. All of them are common
practice, no source.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

MAKER_FIRST = (
    "Where the maker of the bike or of a part gives instructions, torques or limits,"
    " they go before ours."
)
DO_NOT_RIDE = "Do not ride the bike until what is marked unsafe has been put right: {places}."


@dataclass(frozen=True, slots=True)
class Caution:
    """Words for whoever rides, said where work is done at one of the checkpoints."""

    words: str
    checkpoints: frozenset[str]


def _both_ends(*names: str) -> frozenset[str]:
    """Return the codes of checkpoints that stand at the front and at the rear."""
    return frozenset(f"{end}-{name}" for end in ("front", "rear") for name in names)


CAUTIONS = (
    Caution(
        "Brakes: new blocks, pads and cables bed in. Brake gently at first, try both brakes before"
        " each ride, and come back if a lever reaches the grip.",
        _both_ends("rim-brake", "disc-brake", "hub-brake", "rotor", "rim")
        | {"brake-levers", "brake-cables"},
    ),
    Caution(
        "Hinges and clamps: see that each is home and locked before every ride. If one moves or"
        " creaks, do not ride: bring the bike back.",
        frozenset(
            {
                *("main-hinge", "main-clamp", "stem-hinge", "stem-clamp"),
                *("rear-pivot", "folding-pedal", "fold-lock"),
            }
        ),
    ),
    Caution(
        "Frame and fork: look at the mended place from time to time. With a crack, a bulge or"
        " paint that lifts, do not ride.",
        frozenset(
            {
                *("fork", "head-tube", "frame-beam", "rear-beam", "top-tube", "down-tube"),
                *("rear-stays", "chainstay-bridge", "chainstays", "seatstays", "dropouts"),
            }
        ),
    ),
    Caution(
        "Wheels: new spokes settle. Have them looked at again after the first 100 km.",
        _both_ends("wheel", "rim"),
    ),
    Caution(
        "Wheel nuts and levers: see that they are tight before each ride.",
        _both_ends("axle", "wheel", "hub", "tyre"),
    ),
    Caution(
        "Seat post and stem: never raise one beyond the mark that shows how far it must go in.",
        frozenset({"seat-post", "seat-clamp", "stem", "headset"}),
    ),
)

UNSAFE_LEFT = "Unsafe and left as it is, as the customer wished: {what}. It must not be ridden."


def riders_cautions(worked_on: Collection[str]) -> tuple[str, ...]:
    """Return what to mind where work was done at checkpoints of these codes."""
    places = frozenset(worked_on)
    return tuple(each.words for each in CAUTIONS if each.checkpoints & places)
