"""Codes of the world that a shop chooses from: countries, currencies, number styles, VAT numbers.

Source: ISO 3166 and ISO 4217 as shipped by Babel from CLDR; VAT numbers by python-stdnum.
"""

from __future__ import annotations

from functools import lru_cache

from babel import Locale
from babel.localedata import locale_identifiers
from babel.numbers import get_territory_currencies
from stdnum import get_cc_module
from stdnum.exceptions import InvalidChecksum, InvalidLength, ValidationError

COUNTRY_LETTERS = 2
GROUPS = {"EU", "EZ", "UN"}
"""Two-letter codes of groups of countries, which have a currency but are no country."""
Choice = tuple[str, str]
VAT_LETTERS = {"GR": "EL"}
"""Where VAT numbers carry other letters than the ISO code (Council Directive 2006/112/EC, 215)."""
ENGLISH = Locale("en")


@lru_cache(maxsize=1)
def countries() -> tuple[Choice, ...]:
    """Return ISO 3166 codes with their names, by name."""
    found = ((code, name) for code, name in ENGLISH.territories.items() if is_country(code))
    return tuple(sorted(found, key=lambda choice: choice[1]))


def is_country(code: str) -> bool:
    """Tell countries from continents (three figures) and from CLDR's own groups and tests."""
    two_letters = len(code) == COUNTRY_LETTERS and code.isalpha()
    return two_letters and code not in GROUPS and bool(get_territory_currencies(code))


@lru_cache(maxsize=1)
def currencies() -> tuple[Choice, ...]:
    """Return the ISO 4217 codes of currencies in use somewhere, with their names."""
    in_use = {each for code, _ in countries() for each in get_territory_currencies(code)}
    return tuple(
        (code, f"{code} · {ENGLISH.currencies.get(code, code)}") for code in sorted(in_use)
    )


@lru_cache(maxsize=1)
def number_styles() -> tuple[Choice, ...]:
    """Return the locales of a language in a country, by name."""
    known = (Locale.parse(each) for each in locale_identifiers() if each.count("_") == 1)
    found = (
        (str(each), each.get_display_name("en") or str(each))
        for each in known
        if each.territory and is_country(each.territory)
    )
    return tuple(sorted(found, key=lambda choice: choice[1]))


def vat_number(text: str, country: str) -> str:
    """Return a VAT number without blanks and dots, the country's letters in front.

    Where nothing is known of a country's numbers the text comes back as it is.

    Raises:
        ValueError: the number can't be one of that country; says what is wrong with it.
    """
    module = get_cc_module(country, "vat")
    if module is None:
        return text.strip()
    try:
        number: str = module.validate(text)
    except InvalidChecksum:
        raise ValueError("its check figures do not fit, so one figure is wrong") from None
    except InvalidLength:
        raise ValueError("it has too few or too many figures") from None
    except ValidationError:
        raise ValueError("it is not written as that country's numbers are") from None
    letters = VAT_LETTERS.get(country, country)
    return number if number.startswith(letters) else letters + number
