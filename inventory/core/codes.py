"""Codes for scanners: bars (Code 128) and squares (QR), as modules and as the path that draws them.

Widths are in modules, the narrowest bar; the one who prints says how wide a module is in mm.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from decimal import ROUND_FLOOR, Decimal
from itertools import groupby

QUIET = 10
"""Modules kept clear at either end of bars (ISO/IEC 15417)."""
QR_QUIET = 4
"""Modules kept clear all round a QR code (ISO/IEC 18004)."""
NARROWEST_MM = Decimal("0.19")
"""Below this a bar is too narrow for a common printer and scanner: common practice, no source."""
WIDEST_MM = Decimal("0.5")
LONGEST = 80


class CodeError(ValueError):
    """Raised for what can't stand in a code; its text says what is wrong and what to do."""


@dataclass(frozen=True, slots=True)
class Drawn:
    """A code as a picture: its size in modules with the clear space, and the path of its dark."""

    width: int
    height: int
    path: str


def bars(text: str) -> str:
    """Return a text's bars in Code 128, a 1 for each dark module and a 0 for each light one.

    Raises:
        CodeError: it is empty, too long, or holds letters that the code does not know.
    """
    from barcode.errors import BarcodeError

    from inventory.core.code128 import PairedCode128

    if not text or len(text) > LONGEST:
        raise CodeError(f"“{text}” can’t stand in bars: write 1 to {LONGEST} letters and figures.")
    try:
        (modules,) = PairedCode128(text).build()
    except BarcodeError as error:
        raise CodeError(
            f"“{text}” can’t stand in bars: use letters without accents, figures and dashes."
        ) from error
    return str(modules)


def bars_drawn(text: str, height: int = 1) -> Drawn:
    """Return a text's bars, ``height`` modules tall. Raises CodeError as ``bars`` does."""
    modules = bars(text)
    path = "".join(f"M{QUIET + at} 0h{wide}v{height}h-{wide}z" for at, wide in _runs(modules))
    return Drawn(2 * QUIET + len(modules), height, path)


def square_drawn(text: str) -> Drawn:
    """Return a text as a QR code that still reads with 15 % of it dirty.

    Raises:
        CodeError: it is empty or too long.
    """
    import segno

    if not text:
        raise CodeError("There is nothing to put into the code.")
    try:
        code = segno.make(text, error="m", micro=False, boost_error=False)
    except segno.DataOverflowError as error:
        raise CodeError(f"“{text[:20]}…” is too long for a code.") from error
    size, _ = code.symbol_size(border=QR_QUIET)
    path = "".join(
        f"M{at} {line}h{wide}v1h-{wide}z"
        for line, row in enumerate(code.matrix_iter(border=QR_QUIET))
        for at, wide in _runs("1" if dark else "0" for dark in row)
    )
    return Drawn(int(size), int(size), path)


def module_mm(text: str, room_mm: Decimal) -> Decimal | None:
    """Return how wide in mm a module of a text's bars is where they fill the room.

    None says that it would be too narrow to be read.

    Raises:
        CodeError: as ``bars`` does.
    """
    wide = (room_mm / (2 * QUIET + len(bars(text)))).quantize(Decimal("0.001"), ROUND_FLOOR)
    return None if wide < NARROWEST_MM else min(wide, WIDEST_MM)


def _runs(modules: Iterable[str]) -> Iterator[tuple[int, int]]:
    """Yield where each run of dark modules starts and how many they are."""
    at = 0
    for dark, run in groupby(modules):
        wide = sum(1 for _ in run)
        if dark == "1":
            yield at, wide
        at += wide
