"""Reading the pool: rules of a day, rates of a period, where a period stands."""

import datetime as dt
from decimal import Decimal

import pytest

from quotes.pool.models import MarginLegend
from quotes.pool.selectors import legend_on, pool_limit_on, pool_page
from tests.factories.pool import PoolRuleFactory, entry
from tests.factories.shop import ShopFactory, VatRateFactory
from tests.quotes.pool.conftest import TODAY

pytestmark = pytest.mark.django_db


def test_the_limit_of_a_day_is_the_latest_before_it(db):
    PoolRuleFactory.create(valid_from=dt.date(2002, 1, 1), item_limit=500)
    PoolRuleFactory.create(valid_from=dt.date(2025, 1, 1), item_limit=750)
    assert pool_limit_on(dt.date(2001, 12, 31)) is None
    assert pool_limit_on(dt.date(2024, 12, 31)) == 500
    assert pool_limit_on(dt.date(2025, 1, 1)) == 750


def test_the_words_of_a_day(db):
    MarginLegend.objects.create(valid_from=dt.date(2010, 1, 1), words="Margin scheme")
    assert legend_on(dt.date(2009, 1, 1)) == ""
    assert legend_on(dt.date(2026, 1, 1)) == "Margin scheme"


def test_a_period_bears_the_rate_of_its_last_day_and_says_when_it_changed(pool):
    VatRateFactory.create(rate=Decimal("0.25"), valid_from=dt.date(2025, 3, 1))
    entry("sale", "2025-02-01", "1000")
    *_, second, first = pool_page(pool, ShopFactory.create(), TODAY).periods
    assert (first.result.period.vat, first.rate_changes, second.rate_changes) == (200, True, False)


def test_the_page_runs_four_queries_however_many_entries(pool, django_assert_num_queries):
    shop = ShopFactory.create()
    for count in (1, 6):
        for _ in range(count):
            entry("sale", "2025-02-01", "10")
        with django_assert_num_queries(4):
            assert pool_page(pool, shop, TODAY).periods


def test_periods_stand_newest_first_and_say_which_is_next(pool):
    periods = pool_page(pool, ShopFactory.create(), TODAY).periods
    assert [each.running for each in periods] == [True, False, False, False, False, False]
    assert [each.next_to_declare for each in periods][-2:] == [False, True]


def test_a_pool_left_ends_with_that_period(pool):
    entry("closing", "2025-05-31", "900")
    page = pool_page(pool, ShopFactory.create(), TODAY)
    assert page.left_on == dt.date(2025, 5, 31)
    assert page.periods[0].period.ends_on == dt.date(2025, 6, 30)
    assert page.periods[0].result.closing_waived
