"""Gives a new shop another country: its currency, VAT rates and rules, in place of the old ones."""

from __future__ import annotations

from pathlib import Path

from babel import Locale
from babel.numbers import get_territory_currencies
from django.db import transaction

from quotes.buyin.models import MarginCheck
from quotes.pool.models import MarginLegend, PoolEntry, PoolReturn, PoolRule
from quotes.provenance.models import RetentionRule
from quotes.quoting.models import Revision
from workshop.catalogue.loading import Report, default_folder, load_catalogue
from workshop.catalogue.loading.entries import COUNTRIES
from workshop.shop.models import Shop, VatRate
from workshop.shop.selectors import current_shop

RECKONED = (Revision, MarginCheck, PoolEntry, PoolReturn)
BY_COUNTRY = (VatRate, PoolRule, MarginLegend, RetentionRule)


class CountryError(Exception):
    """Raised where a shop can't be given a country; the message says what to do instead."""


def ready_made() -> dict[str, Path]:
    """Return the files of the countries that come with the product, by ISO 3166 code."""
    files = sorted((default_folder() / COUNTRIES).glob("*.toml"))
    return {file.stem.upper(): file for file in files}


@transaction.atomic
def set_up_country(code: str) -> tuple[Shop, Report]:
    """Return the shop, now of the country, and what was loaded.

    Currency and number style come from CLDR. Rates and rules of the country before are deleted.

    Raises:
        CountryError: the country is not ready made, or figures have been reckoned already.
    """
    code = code.upper()
    if code not in ready_made():
        raise CountryError(
            f"{code} is not ready made; ready are {', '.join(ready_made())}. Choose the country on "
            "the page of the shop and enter its rates and rules in the catalogue."
        )
    if any(model._default_manager.exists() for model in RECKONED):  # noqa: SLF001 - documented
        raise CountryError(
            "Quotes, margin checks or pool entries have been reckoned with the rates of "
            f"{current_shop().country}. Enter new rates in the catalogue with the day they hold "
            "from; these stay for what is past."
        )
    shop = current_shop()
    shop.country, shop.currency = code, get_territory_currencies(code)[0]
    shop.locale = str(Locale.parse(f"und_{code}"))
    shop.save()
    for model in BY_COUNTRY:
        for row in model._default_manager.all():  # noqa: SLF001 - documented
            row.delete()
    return shop, load_catalogue()
