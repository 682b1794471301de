"""Does a part fit a bike: yes, no, or unknown, each with the reasons."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from enum import Enum

from inventory.core.compatibility import BEAD_SEATS_MM, RimSize, TyreSize, on_chart


class Answer(Enum):
    """Whether it fits."""

    YES = "yes"
    NO = "no"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class Facts:
    """What decides fit, of a part or of a bike; None or empty where it is not known.

    All in mm but ``chain_speeds``, the number of sprockets, and what is words:
    ``bead_seat_mm`` and ``section_mm`` of a tyre (ISO 5775), ``rim_inner_mm`` between a rim's
    flanges; ``shell_width_mm`` and ``shell_thread`` of the bottom bracket; ``spindle_kind`` and
    ``spindle_mm`` its spindle; ``steerer_mm`` outside; ``axle_mm`` over the locknuts, which is
    the space between the dropouts; ``chain_mm`` between a chain's inner plates; ``pad_shape``
    of a brake; ``post_mm`` of a seat post.
    """

    bead_seat_mm: int | None = None
    section_mm: int | None = None
    rim_inner_mm: int | None = None
    shell_width_mm: Decimal | None = None
    shell_thread: str = ""
    spindle_kind: str = ""
    spindle_mm: Decimal | None = None
    steerer_mm: Decimal | None = None
    axle_mm: Decimal | None = None
    chain_mm: Decimal | None = None
    chain_speeds: int | None = None
    pad_shape: str = ""
    post_mm: Decimal | None = None


@dataclass(frozen=True, slots=True)
class Fit:
    """The answer with its reasons, what speaks against it first."""

    answer: Answer
    reasons: tuple[str, ...]


NAMES: Mapping[str, str] = {
    "bead_seat_mm": "rim diameter",
    "shell_width_mm": "bottom-bracket shell width",
    "shell_thread": "bottom-bracket thread",
    "spindle_kind": "spindle",
    "spindle_mm": "spindle length",
    "steerer_mm": "steerer diameter",
    "axle_mm": "width over locknuts",
    "chain_mm": "chain width",
    "chain_speeds": "number of sprockets",
    "pad_shape": "brake pad shape",
    "post_mm": "seat-post diameter",
}
"""What must be equal on both sides for a part to fit, and what it is called."""

SHIMMED = " A shim may make up for a thinner post."
Reason = tuple[Answer, str]


def does_it_fit(part: Facts, bike: Facts) -> Fit:
    """Return whether a part fits a bike, by all that is kept about the part.

    One thing that differs makes it no; one that the bike is not known for makes it unknown.
    """
    told = list(_reasons(part, bike))
    if not told:
        return Fit(Answer.UNKNOWN, ("Nothing is kept that tells what this part fits.",))
    order = (Answer.NO, Answer.UNKNOWN, Answer.YES)
    worst = min((answer for answer, _ in told), key=order.index)
    told.sort(key=lambda each: order.index(each[0]))
    return Fit(worst, tuple(words for _, words in told))


def _reasons(part: Facts, bike: Facts) -> Iterator[Reason]:
    """Yield an answer with its reason for each fact of the part."""
    for field, name in NAMES.items():
        wanted, there = getattr(part, field), getattr(bike, field)
        if wanted in (None, ""):
            continue
        yield _compared(field, name, wanted, there)
    for check in CHECKS:
        yield from check(part, bike)


def _compared(field: str, name: str, wanted: object, there: object) -> Reason:
    """Return the answer that one fact gives."""
    unit = " mm" if field.endswith("_mm") else ""
    if there in (None, ""):
        return (
            Answer.UNKNOWN,
            f"The bike’s {name} is not known; the part is for {_plain(wanted)}{unit}.",
        )
    if _same(wanted, there):
        return Answer.YES, f"The {name} is the same: {_plain(wanted)}{unit}."
    thinner = field == "post_mm" and Decimal(str(wanted)) < Decimal(str(there))
    differs = f"{_plain(wanted)}{unit} on the part, {_plain(there)}{unit} on the bike."
    return Answer.NO, f"The {name} differs: {differs}{SHIMMED if thinner else ''}"


def _tyre_on_rim(part: Facts, bike: Facts) -> Iterator[Reason]:
    """Ask the chart of widths; off the chart is a question for the maker, never a no."""
    if not (part.section_mm and part.bead_seat_mm and bike.rim_inner_mm):
        return
    tyre = TyreSize(part.section_mm, part.bead_seat_mm)
    if on_chart(tyre, RimSize(part.bead_seat_mm, bike.rim_inner_mm)) is False:
        sizes = f"{part.section_mm} mm is off the chart for a rim of {bike.rim_inner_mm} mm inside"
        yield Answer.UNKNOWN, f"{sizes}; ask its maker."


CHECKS: tuple[Callable[[Facts, Facts], Iterator[Reason]], ...] = (_tyre_on_rim,)


def _same(one: object, other: object) -> bool:
    """Tell whether two facts are equal, however they are written."""
    if isinstance(one, str):
        return one.casefold().strip() == str(other).casefold().strip()
    return one == other


def _plain(value: object) -> str:
    """Return a fact as people write it."""
    return f"{value.normalize():f}" if isinstance(value, Decimal) else str(value)


def known_bead_seat(size_mm: int) -> bool:
    """Tell whether any tyre or rim is made for a bead seat diameter in mm."""
    return size_mm in BEAD_SEATS_MM
