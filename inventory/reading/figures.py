"""Prices, shares and codes out of the cells of a price list."""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from functools import lru_cache

from babel.numbers import get_currency_symbol, is_currency

LARGEST = Decimal(9_999_999)
FINE = Decimal("0.0001")
"""The finest step of a price that is kept."""
GROUPS = " \u00a0\u2009\u202f'’"
NUMBER = re.compile(
    rf"(?P<whole>[1-9]\d{{0,2}}(?:(?P<group>[{GROUPS}.,])\d{{3}})(?:(?P=group)\d{{3}})*|\d*)"
    r"(?:(?P<point>[.,])(?P<rest>\d+))?"
)
NO_CENTS = re.compile(r"(?<=\d)[.,][-–—]{1,2}$")
DATE = re.compile(
    r"\d{4}-\d{2}-\d{2}|\d{1,2}[./]\d{1,2}[./]\d{2,4}|\d{1,2}[.-][A-Za-z]{3}([.-]\d+)?"
)
EXPONENT = re.compile(r"[\d.,]+E[+-]?\d+", re.IGNORECASE)
AMBIGUOUS = re.compile(r"[1-9]\d{0,2}[.,]\d{3}")
SIGNS = {"£": ("GBP",), "€": ("EUR",), "¥": ("JPY", "CNY")}
HUNDRED = Decimal(100)
EAN_LENGTHS = (8, 12, 13, 14)


class FigureError(ValueError):
    """Raised where a cell is not what its column holds; the text says what to do."""


@dataclass(frozen=True, slots=True)
class Amount:
    """An amount of money and the currency that stands with it, empty where none does."""

    amount: Decimal
    currency: str = ""


def evidence(cell: str) -> str:
    """Return the decimal mark that a cell proves: ``.``, ``,`` or none."""
    bare = _bare(cell)[0]
    found = NUMBER.fullmatch(bare)
    if found and found["point"] and (len(found["rest"]) != 3 or found["group"]):  # noqa: PLR2004
        return found["point"]
    if found and found["group"] in {".", ","} and found["whole"].count(found["group"]) > 1:
        return "," if found["group"] == "." else "."
    return ""


def price_in(cell: str, mark: str, *, is_figure: bool = False) -> Amount:
    """Return the amount in a cell; ``mark`` is the list's decimal mark, empty where unknown.

    Raises:
        FigureError: it is no price, below zero, too large, or can be read in two ways.
    """
    bare, currency, negative = _bare(cell)
    if is_figure:
        try:
            number = Decimal(bare)
        except InvalidOperation as error:
            raise FigureError("This is not a price. Write the amount in figures.") from error
    else:
        number = _written(bare, cell, mark)
    if negative or number < 0:
        raise FigureError("This is below zero. A price is 0 or more.")
    if number > LARGEST:
        raise FigureError(f"This is more than {LARGEST:,}. Check the figures.")
    return Amount(number.quantize(FINE), currency)


def _bare(cell: str) -> tuple[str, str, bool]:
    """Return a cell's figures, its currency, and whether it is below zero."""
    text = NO_CENTS.sub("", cell.strip())
    currency = ""
    for sign in re.findall(
        r"(?<![A-Za-z])[A-Za-z]{3}(?![A-Za-z])|[£€¥$₣₤₩₹₺₽]|Fr\.|kr\.?|zł|Kč", text
    ):
        currency = sign.upper() if is_currency(sign.upper()) else sign
        text = text.replace(sign, "", 1).strip()
        break
    text = NO_CENTS.sub("", text)
    negative = text[:1] in {"-", "−", "–"} or text[-1:] in {"-", "−"} or text[:1] == "("
    return text.strip("-−–()+ "), currency, negative


def _written(bare: str, cell: str, mark: str) -> Decimal:
    """Return the number that figures write under a decimal mark."""
    if cell.startswith("#"):
        raise FigureError("A formula failed here. Mend it and save the list again.")
    if not any(each.isdecimal() for each in cell):
        raise FigureError("There is no price here. Write the amount in figures, or delete the row.")
    if DATE.fullmatch(cell) and not re.fullmatch(r"\d+[.,]\d+", cell):
        raise FigureError(
            "This is a date. The spreadsheet took a price for one: format the column as numbers."
        )
    if EXPONENT.fullmatch(bare):
        raise FigureError("This is shortened with an exponent. Write the amount in full.")
    found = NUMBER.fullmatch(bare)
    if found is None or found["group"] == found["point"] is not None:
        raise FigureError("This is not a price. Write the amount in figures, such as 12.50.")
    return _settled(found, bare, mark)


def _settled(found: re.Match[str], bare: str, mark: str) -> Decimal:
    """Return the number once it is settled which mark stands before the decimals."""
    group, point = found["group"], found["point"]
    lone = group if AMBIGUOUS.fullmatch(bare) else None
    if lone in {".", ","} and not mark:
        whole, rest = re.split("[.,]", bare)
        raise FigureError(
            f"This can be read as {whole}{rest} or as {whole}.{rest}. Choose the decimal mark."
        )
    if lone == mark and lone:
        return Decimal(bare.replace(",", "."))
    if mark and ((point and point != mark) or group == mark):
        wrong = "decimal point" if mark == "," else "decimal comma"
        raise FigureError(f"This has a {wrong}, unlike the rest of the list. Write all alike.")
    whole = "".join(each for each in found["whole"] if each.isdecimal())
    return Decimal(f"{whole or 0}.{found['rest'] or 0}")


def share_in(cell: str, mark: str, *, is_figure: bool = False) -> Decimal:
    """Return a discount as a fraction: ``40``, ``40 %`` and ``-40%`` are 0.4.

    Raises:
        FigureError: it is no share from 0 to 100 %, or could be a fraction as well.
    """
    told = "%" in cell
    text = cell.replace("%", "").strip().lstrip("-−–+ ")
    number = price_in(text, mark or (evidence(text) or "."), is_figure=is_figure).amount
    if not told and 0 < number < 1:
        raise FigureError(
            f"This can be {number.normalize():f} % or {(number * HUNDRED).normalize():f} %. "
            "Write the sign %."
        )
    if number > HUNDRED:
        raise FigureError("A discount is 100 % at most.")
    return number / HUNDRED


def pack_in(cell: str) -> int:
    """Return how many pieces a pack holds: ``10``, ``10 pcs``, ``10.0``; 1 where nothing stands.

    Raises:
        FigureError: it is no whole number from 1 to 100,000.
    """
    if not cell:
        return 1
    found = re.fullmatch(r"(\d{1,6})(?:[.,]0+)?(?:\s*[x×]?\s*[A-Za-z.]*)", cell)
    if found is None or not 0 < int(found[1]) <= 100_000:  # noqa: PLR2004 - said in the message
        raise FigureError("A pack holds a whole number of pieces, from 1 to 100,000.")
    return int(found[1])


def gtin_in(cell: str) -> str:
    """Return a GTIN in its figures, empty where nothing stands.

    Source of the check digit: GS1 General Specifications, 7.9.

    Raises:
        FigureError: its length or check digit is wrong, or a spreadsheet cut it.
    """
    from stdnum import ean
    from stdnum.exceptions import ValidationError

    if not cell or not cell.strip("0 "):
        return ""
    if EXPONENT.fullmatch(cell):
        raise FigureError("A spreadsheet cut this GTIN. Format the column as text, fill it anew.")
    text = re.sub(r"[\s-]", "", cell)
    if not text.isdecimal() or not 7 <= len(text) <= max(EAN_LENGTHS):  # noqa: PLR2004 - one 0 lost
        raise FigureError("A GTIN has 8, 12, 13 or 14 figures.")
    text = text.zfill(next(length for length in EAN_LENGTHS if length >= len(text)))
    try:
        return ean.validate(text).zfill(13 if len(text) == 12 else 0)  # noqa: PLR2004 - as EAN-13
    except ValidationError as error:
        raise FigureError("The last figure of this GTIN does not match the others.") from error


@lru_cache(maxsize=256)
def is_in(mark: str, currency: str) -> bool:
    """Tell whether a sign or code that stands with a price may mean a currency."""
    if not mark or mark.upper() == currency:
        return True
    if mark in SIGNS:
        return currency in SIGNS[mark]
    return mark.rstrip(".").casefold() in {
        get_currency_symbol(currency, locale).rstrip(".").casefold()
        for locale in ("en", "de_CH", "sv", "pl", "cs")
    } or (mark == "$" and currency.endswith("D"))
