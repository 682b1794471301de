"""Countries that come ready made: their rates, rules and words, and giving them to a new shop."""

import datetime as dt
from decimal import Decimal

import pytest
from django.core.management import CommandError, call_command

from inventory.parts.models import VatCode
from quotes.pool.models import Carry, PoolRule
from quotes.pool.selectors import legend_on, pool_limit_on, rule_on
from quotes.pool.verbs.set_up_country import CountryError, ready_made, set_up_country
from tests.factories.pool import british_pool, entry
from tests.factories.shop import ShopFactory
from workshop.catalogue.loading import load_catalogue
from workshop.shop.models import Shop, VatRate
from workshop.shop.selectors import vat_rates_on

pytestmark = pytest.mark.django_db

TODAY = dt.date(2026, 5, 20)


def test_three_countries_are_ready_made():
    assert list(ready_made()) == ["DE", "GB", "IE"]


# country, currency, number style, standard rate, limit for an article, how far it is carried
COUNTRIES = [
    ("GB", "GBP", "en_GB", "0.20", "500", Carry.ALWAYS),
    ("IE", "EUR", "en_IE", "0.23", "634.99", Carry.ALWAYS),
    ("DE", "EUR", "de_DE", "0.19", "750", Carry.WITHIN_YEAR),
]


@pytest.mark.parametrize(("code", "currency", "locale", "rate", "limit", "carry"), COUNTRIES)
def test_a_new_shop_is_given_a_country(code, currency, locale, rate, limit, carry):
    ShopFactory.create()
    load_catalogue()
    set_up_country(code.lower())
    shop, rule = Shop.objects.get(), rule_on(TODAY)
    assert (shop.country, shop.currency, shop.locale) == (code, currency, locale)
    assert vat_rates_on(TODAY)[VatCode.STANDARD] == Decimal(rate)
    assert (rule.item_limit, rule.carry) == (Decimal(limit), carry)
    assert rule.source
    assert legend_on(TODAY)


def test_the_old_countrys_rates_do_not_stay(catalogue):
    set_up_country("DE")
    assert VatRate.objects.filter(valid_from=dt.date(2011, 1, 4)).count() == 0
    assert vat_rates_on(dt.date(2015, 1, 1))[VatCode.STANDARD] == Decimal("0.19")


def test_the_german_limit_and_rate_are_those_of_the_day(catalogue):
    set_up_country("DE")
    assert pool_limit_on(dt.date(2024, 12, 31)) == 500
    assert pool_limit_on(dt.date(2025, 1, 1)) == 750
    assert vat_rates_on(dt.date(2020, 8, 1))[VatCode.STANDARD] == Decimal("0.16")


def test_loading_the_catalogue_later_takes_the_countrys_own_file(catalogue):
    set_up_country("IE")
    report = load_catalogue()
    assert not report.kept
    assert not sum(report.added.values())
    assert not VatRate.objects.filter(rate=Decimal("0.20")).exists()


def test_a_country_without_a_file_gets_no_foreign_rates():
    ShopFactory.create(country="FR", currency="EUR")
    load_catalogue()
    assert not VatRate.objects.exists()
    assert not PoolRule.objects.exists()


def test_a_country_that_is_not_ready_made_is_refused_with_those_that_are():
    with pytest.raises(CountryError, match="ready are DE, GB, IE"):
        set_up_country("FR")


def test_once_something_was_reckoned_the_country_stays(monkeypatch):
    british_pool(joined_on=dt.date(2020, 1, 1))
    entry("sale", "2020-02-01", "100")
    with pytest.raises(CountryError, match="with the rates of GB"):
        set_up_country("IE")
    assert Shop.objects.get().country == "GB"
    assert VatRate.objects.get().rate == Decimal("0.2")


def test_the_command_says_what_it_did(capsys):
    ShopFactory.create()
    call_command("set_up_country", "IE")
    out = capsys.readouterr().out
    assert "The shop is in IE; amounts are in EUR." in out
    assert "5 VAT rates" in out or "5 vat rates" in out
    with pytest.raises(CommandError, match="not ready made"):
        call_command("set_up_country", "XX")


def test_every_figure_of_a_country_says_where_it_is_from(catalogue):
    for code in ready_made():
        set_up_country(code)
        for model in (VatRate, PoolRule):
            assert not model.objects.filter(source="").exists(), code
