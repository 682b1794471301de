"""Does a part fit a bike: yes, no, or unknown, each with the reasons."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
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
    flanges, ``widest_tyre_mm`` that a bike has room for; ``shell_width_mm`` and ``shell_thread``
    of the bottom bracket; ``spindle_kind`` and ``spindle_mm`` its spindle; ``steerer_mm`` outside
    and ``steerer_kind``; ``axle_mm`` over the locknuts, which is the space between the dropouts,
    and ``dropout``; ``chain_mm`` between a chain's inner plates; ``brake_kind`` and ``pad_shape``
    of a brake; ``post_mm`` of a seat post.

    A part for one end says which in ``axle_end``; a bike has its two ends in ``front_…`` and
    ``rear_…``, and in ``axle_mm`` and ``dropout`` only what was measured for the part in hand.
    """

    bead_seat_mm: int | None = None
    section_mm: int | None = None
    rim_inner_mm: int | None = None
    widest_tyre_mm: int | None = None
    shell_width_mm: Decimal | None = None
    shell_thread: str = ""
    spindle_kind: str = ""
    spindle_mm: Decimal | None = None
    steerer_mm: Decimal | None = None
    steerer_kind: str = ""
    axle_end: str = ""
    axle_mm: Decimal | None = None
    front_axle_mm: Decimal | None = None
    rear_axle_mm: Decimal | None = None
    dropout: str = ""
    front_dropout: str = ""
    rear_dropout: str = ""
    chain_mm: Decimal | None = None
    chain_speeds: int | None = None
    brake_kind: str = ""
    pad_shape: str = ""
    post_mm: Decimal | None = None


@dataclass(frozen=True, slots=True)
class Fit:
    """The answer with its reasons, what speaks against it first; ``agrees`` counts those for it."""

    answer: Answer
    reasons: tuple[str, ...]
    agrees: int = 0


NAMES: Mapping[str, str] = {
    "bead_seat_mm": "rim diameter",
    "shell_width_mm": "bottom-bracket shell width",
    "shell_thread": "bottom-bracket thread",
    "spindle_kind": "spindle",
    "spindle_mm": "spindle length",
    "steerer_mm": "steerer diameter",
    "steerer_kind": "kind of steerer",
    "axle_mm": "width over locknuts",
    "dropout": "dropout",
    "chain_mm": "chain width",
    "chain_speeds": "number of sprockets",
    "brake_kind": "kind of brake",
    "pad_shape": "brake pad shape",
    "post_mm": "seat-post diameter",
}
"""What must be equal on both sides for a part to fit, and what it is called."""

# How far a measured size may be off the nominal one in mm.  # common practice, no source
TOLERANCES: Mapping[str, Decimal] = {
    "shell_width_mm": Decimal("0.5"),
    "spindle_mm": Decimal("0.5"),
    "steerer_mm": Decimal("0.2"),
    "axle_mm": Decimal(1),
    "chain_mm": Decimal("0.1"),
    "post_mm": Decimal("0.05"),
}

ENDS = ("front", "rear")
AT_ENDS = frozenset({"axle_mm", "dropout"})
"""What a bike has twice, at the front and at the rear."""

SHIMMED = " A shim may make up for a thinner post."
WIDER_CHAIN = " Without a derailleur a wider chain may run all the same."
Reason = tuple[Answer, str]
ORDER = (Answer.NO, Answer.UNKNOWN, Answer.YES)


def together(answers: Iterable[Answer]) -> Answer:
    """Return what several answers come to: no beats unknown beats yes; none at all is unknown."""
    return min(answers, key=ORDER.index, default=Answer.UNKNOWN)


def does_it_fit(part: Facts, bike: Facts) -> Fit:
    """Return whether a part fits a bike, by all that is kept about the part.

    One thing that differs makes it no; one that the bike is not known for makes it unknown.
    """
    told = list(_reasons(part, bike))
    if not told:
        return Fit(Answer.UNKNOWN, ("Nothing is kept that tells what this part fits.",))
    told.sort(key=lambda each: ORDER.index(each[0]))
    return Fit(
        together(answer for answer, _ in told),
        tuple(words for _, words in told),
        sum(answer is Answer.YES for answer, _ in told),
    )


def tells(part: Facts) -> bool:
    """Tell whether anything is kept about a part that decides what it fits."""
    return next(_reasons(part, Facts()), None) is not None


def _reasons(part: Facts, bike: Facts) -> Iterator[Reason]:
    """Yield an answer with its reason for each fact of the part."""
    for field, name in NAMES.items():
        wanted = getattr(part, field)
        if wanted in (None, ""):
            continue
        if field in AT_ENDS and getattr(bike, field) in (None, ""):
            yield _at_an_end(field, name, part, bike)
        else:
            yield _compared(field, name, wanted, getattr(bike, field))
    for check in CHECKS:
        yield from check(part, bike)


def _at_an_end(field: str, name: str, part: Facts, bike: Facts) -> Reason:
    """Return the answer that a fact gives which bikes have at both ends."""
    wanted = getattr(part, field)
    ends = [part.axle_end] if part.axle_end else ENDS
    told = [
        _compared(field, f"{end} {name}", wanted, getattr(bike, f"{end}_{field}")) for end in ends
    ]
    answers = {answer for answer, _ in told}
    if len(answers) == 1:
        return told[0]
    if Answer.YES in answers:
        end = next(end for end, (answer, _) in zip(ends, told, strict=True) if answer is Answer.YES)
        return (
            Answer.UNKNOWN,
            f"The {name} agrees at the {end}, but nobody wrote down which end the part is for.",
        )
    return next(each for each in told if each[0] is Answer.UNKNOWN)


def _compared(field: str, name: str, wanted: object, there: object) -> Reason:
    """Return the answer that one fact gives."""
    unit = " mm" if field.endswith("_mm") else ""
    if there in (None, ""):
        return (
            Answer.UNKNOWN,
            f"The bike’s {name} is not known; the part is for {_plain(wanted)}{unit}.",
        )
    both = f"{_plain(wanted)}{unit} on the part, {_plain(there)}{unit} on the bike."
    if _same(field, wanted, there):
        if _plain(wanted) != _plain(there) and not isinstance(wanted, str):
            return Answer.YES, f"The {name} agrees: {both}"
        return Answer.YES, f"The {name} is the same: {_plain(wanted)}{unit}."
    return Answer.NO, f"The {name} differs: {both}{_remark(field, wanted, there)}"


def _remark(field: str, wanted: object, there: object) -> str:
    """Return what may help where a size differs."""
    less = Decimal(str(wanted)) < Decimal(str(there)) if field.endswith("_mm") else False
    if field == "post_mm" and less:
        return SHIMMED
    return WIDER_CHAIN if field == "chain_mm" and not less else ""


def _tyre_on_rim(part: Facts, bike: Facts) -> Iterator[Reason]:
    """Ask the chart of widths; off the chart is a question for the maker, never a no."""
    if not (part.section_mm and part.bead_seat_mm and bike.rim_inner_mm):
        return
    tyre = TyreSize(part.section_mm, part.bead_seat_mm)
    if on_chart(tyre, RimSize(part.bead_seat_mm, bike.rim_inner_mm)) is False:
        sizes = f"{part.section_mm} mm is off the chart for a rim of {bike.rim_inner_mm} mm inside"
        yield Answer.UNKNOWN, f"{sizes}; ask its maker."


def _room_for_tyre(part: Facts, bike: Facts) -> Iterator[Reason]:
    """See that the bike has room for so wide a tyre; the rim’s width alone may tell as well."""
    if not part.section_mm:
        return
    if not bike.widest_tyre_mm:
        if not bike.rim_inner_mm:
            yield (
                Answer.UNKNOWN,
                f"Nobody has measured whether there is room for {part.section_mm} mm.",
            )
        return
    room = f"room for {bike.widest_tyre_mm} mm on the bike"
    if part.section_mm > bike.widest_tyre_mm:
        yield Answer.NO, f"The tyre is too wide: {part.section_mm} mm, {room}."
    else:
        yield Answer.YES, f"The tyre is {part.section_mm} mm wide, {room}."


CHECKS: tuple[Callable[[Facts, Facts], Iterator[Reason]], ...] = (_tyre_on_rim, _room_for_tyre)


def _same(field: str, one: object, other: object) -> bool:
    """Tell whether two facts are equal, however they are written and as near as one measures."""
    if isinstance(one, str):
        return _folded(one) == _folded(str(other))
    if field in TOLERANCES:
        return abs(Decimal(str(one)) - Decimal(str(other))) <= TOLERANCES[field]
    return one == other


def _folded(text: str) -> str:
    return " ".join(text.casefold().split())


def _plain(value: object) -> str:
    """Return a fact as people write it."""
    return f"{value.normalize():f}" if isinstance(value, Decimal) else str(value)


def known_bead_seat(size_mm: int) -> bool:
    """Tell whether any tyre or rim is made for a bead seat diameter in mm."""
    return size_mm in BEAD_SEATS_MM
