"""Readings as people type them: decimal comma, fractions of an inch, another unit than ours."""

from __future__ import annotations

import re
import unicodedata
from decimal import ROUND_HALF_UP, Decimal

from workshop.core.units import UnitError, convert, units_for

LONGEST = 40
FIGURE = re.compile(
    r"""(?P<sign>[-+])?\s*
    (?:
      (?:(?P<whole>[0-9]{1,9})(?:\s+|\s*-\s*))?(?P<top>[0-9]{1,4})\s*/\s*(?P<bottom>[0-9]{1,4})
      | (?P<number>[0-9]{1,9}(?:[.,][0-9]{0,9})?|[.,][0-9]{1,9})
    )
    \s*(?P<unit>[^0-9\s.,/][^0-9]*)?""",
    re.VERBOSE,
)


class ReadingError(ValueError):
    """Raised for a reading that cannot be taken; its text says what is wrong and what to do."""


def parse_reading(
    text: str,
    unit: str,
    *,
    plausible_min: Decimal,
    plausible_max: Decimal,
    decimals: int,
) -> Decimal:
    """Return a reading in ``unit``, rounded half-up to ``decimals``.

    Takes ``305,5``, ``305.5 mm``, ``12 1/16 in`` where we keep mm, psi for bar, lbf·in for N·m.
    A fraction must say its unit, since it is read off an inch rule. Raises ``ReadingError`` for
    what is no number, has another kind of unit, or lies outside the plausible range (its ends
    are plausible).
    """
    value, given = _figure(_plain(text), unit)
    try:
        exact = convert(value, given or unit, unit)
    except UnitError:
        may = " or ".join(units_for(unit))
        raise ReadingError(
            f"“{given}” is the wrong unit here. Give this reading in {may}."
        ) from None
    if exact < 0 <= plausible_min:
        raise ReadingError(f"A reading below zero cannot be. Enter it in {unit} without a minus.")
    rounded = exact.quantize(Decimal(1).scaleb(-decimals), ROUND_HALF_UP)
    if not plausible_min <= rounded <= plausible_max:
        least, most = _short(plausible_min), _short(plausible_max)
        raise ReadingError(
            f"{_short(rounded)} {unit} cannot be right here: it is read between {least} and {most}"
            f" {unit}. Measure again, and look at the unit."
        )
    return rounded


def _plain(text: str) -> str:
    """Return the text with one kind of minus, fraction bar and space, ``½`` as ``1/2``."""
    apart = re.sub(r"(?<=[0-9])(?=[½¼¾⅛⅜⅝⅞⅓⅔])", " ", text)
    folded = unicodedata.normalize("NFKC", apart).replace("″", '"').replace("′′", '"')
    return " ".join(folded.replace("−", "-").replace("⁄", "/").split())


def _figure(text: str, unit: str) -> tuple[Decimal, str]:
    """Return the number a text starts with and the unit behind it, which may be empty."""
    if not text:
        raise ReadingError(f"There is no reading. Enter a figure in {unit}.")
    match = FIGURE.fullmatch(text) if len(text) <= LONGEST else None
    if match is None:
        shown = text if len(text) <= LONGEST else text[:LONGEST] + "…"
        raise ReadingError(
            f"“{shown}” is not a reading. Enter one figure in {unit}, such as 1.5 or 1,5."
        )
    given = (match["unit"] or "").strip()
    sign = -1 if match["sign"] == "-" else 1
    if match["number"]:
        return sign * Decimal(match["number"].replace(",", ".")), given
    if not given:
        raise ReadingError(f"“{text}” is a fraction without a unit. Write “in” behind it.")
    if not int(match["bottom"]):
        raise ReadingError(f"“{text}” divides by zero. Enter the fraction as the rule shows it.")
    whole = Decimal(match["whole"] or 0)
    return sign * (whole + Decimal(match["top"]) / Decimal(match["bottom"])), given


def _short(value: Decimal) -> str:
    """Return a number without noughts that say nothing."""
    return f"{value.normalize():f}"
