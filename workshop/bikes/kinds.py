"""Which kinds of bike something belongs to: a checkpoint, a remedy."""

from __future__ import annotations

from typing import Protocol

from workshop.bikes.models import Bike


class ForKinds(Protocol):
    """Something with lists of frames, brakes and gears; an empty list means all."""

    frames: list[str]
    brakes: list[str]
    gears: list[str]


def is_for(thing: ForKinds, bike: Bike, end: str = "") -> bool:
    """Tell whether something belongs to a bike of that frame, brake and gears.

    ``end`` is "front" or "rear" where the brake of that end decides; else either may.
    """
    return bool(
        (not thing.frames or bike.frame in thing.frames)
        and (not thing.brakes or bike.brakes_at(end).intersection(thing.brakes))
        and (not thing.gears or bike.gears in thing.gears)
    )
