"""Entering, taking back, declaring, setting up: what may be done with the pool and what not."""

import datetime as dt
from decimal import Decimal

import pytest
from django.db import DatabaseError, IntegrityError, connection, transaction
from django.test.utils import CaptureQueriesContext

from quotes.pool.models import Carry, EntryKind, KeptError, Pool, PoolEntry, PoolReturn
from quotes.pool.selectors import current_pool, pool_page, stands_in_pool
from quotes.pool.verbs.declare import declare
from quotes.pool.verbs.enter import AboveLimitError, enter
from quotes.pool.verbs.join import join_pool
from quotes.pool.verbs.locking import PoolError
from quotes.pool.verbs.reverse import reverse_entry
from tests.factories.bikes import BikeFactory
from tests.factories.pool import PoolRuleFactory, british_pool, entry
from tests.factories.shop import ShopFactory, VatRateFactory
from tests.quotes.pool.conftest import TODAY
from workshop.shop.models import VatRate

pytestmark = pytest.mark.django_db

FIRST, SECOND = dt.date(2025, 1, 1), dt.date(2025, 4, 1)


def results():
    """Every period of the pool, oldest first."""
    return pool_page(current_pool(), ShopFactory.create(), TODAY).periods[::-1]


# the limit for one article


def test_exactly_the_limit_may_be_pooled(pool):
    assert entry("purchase", "2025-02-01", "500").amount == 500


def test_a_dearer_article_is_refused_with_the_limit_and_what_to_do(pool):
    with pytest.raises(AboveLimitError) as refused:
        entry("purchase", "2025-02-01", "500.01")
    assert "£500.01 is more than £500.00" in str(refused.value)
    assert "1 February 2025" in str(refused.value)
    assert "by itself" in str(refused.value)
    assert not PoolEntry.objects.exists()


def test_of_a_lot_all_dear_pieces_are_named_and_nothing_is_entered(pool, manager):
    with pytest.raises(AboveLimitError) as refused:
        enter(
            kind=EntryKind.PURCHASE,
            day=FIRST,
            prices=[Decimal(1400), Decimal(250), Decimal(1600)],
            description="a shed",
            by=manager,
            shop=ShopFactory.create(),
        )
    assert refused.value.prices == (1400, 1600)
    assert "£1,400.00 and £1,600.00 are more" in str(refused.value)
    assert not PoolEntry.objects.exists()


def test_a_lot_is_entered_piece_by_piece(pool, manager):
    made = enter(
        kind=EntryKind.PURCHASE,
        day=FIRST,
        prices=[Decimal(250)] * 3,
        description="a shed",
        by=manager,
        shop=ShopFactory.create(),
    )
    assert [each.description for each in made] == [f"a shed (piece {n} of 3)" for n in (1, 2, 3)]


def test_the_limit_is_that_of_the_day(pool):
    PoolRuleFactory.create(valid_from=dt.date(2026, 1, 1), item_limit=750, carry=Carry.WITHIN_YEAR)
    assert entry("purchase", "2026-01-01", "750")
    with pytest.raises(AboveLimitError):
        entry("purchase", "2025-12-31", "750")


def test_where_no_rule_is_known_nothing_comes_in(pool):
    from quotes.pool.models import PoolRule

    PoolRule.objects.all().delete()
    with pytest.raises(PoolError, match="no rules of the pool"):
        entry("purchase", "2025-02-01", "20")


def test_the_limit_does_not_concern_sales(pool):
    assert entry("sale", "2025-02-01", "620").amount == 620


# days


@pytest.mark.parametrize(
    ("day", "words"),
    [("2026-05-21", "has not come yet"), ("2024-12-31", "The pool began on 1 January 2025")],
)
def test_days_outside_the_pool_are_refused(pool, day, words):
    with pytest.raises(PoolError, match=words):
        entry("purchase", day, "20")


def test_without_a_pool_nothing_is_entered(db):
    with pytest.raises(PoolError, match="Set it up first"):
        entry("purchase", "2025-02-01", "20")


def test_after_the_stock_on_leaving_nothing_is_entered(pool):
    stock = entry("closing", "2025-03-31", "900")
    with pytest.raises(PoolError, match="left the pool on 31 March 2025"):
        entry("sale", "2025-04-01", "20")
    reverse_entry(stock, reason="we stay", by=stock.by)
    assert entry("sale", "2025-04-01", "20")


# bikes


def test_a_bike_comes_in_once_and_goes_out_once(pool):
    bike = BikeFactory.create()
    with pytest.raises(PoolError, match="does not stand in the pool"):
        entry("sale", "2025-02-01", "200", bike=bike)
    bought = entry("purchase", "2025-02-01", "100", bike=bike)
    with pytest.raises(PoolError, match="stands in the pool already"):
        entry("purchase", "2025-02-02", "100", bike=bike)
    sold = entry("sale", "2025-03-01", "200", bike=bike)
    assert not stands_in_pool(bike)
    with pytest.raises(PoolError, match="went out of the pool later"):
        reverse_entry(bought, reason="typed wrongly", by=bought.by)
    reverse_entry(sold, reason="brought back", by=sold.by)
    reverse_entry(bought, reason="typed wrongly", by=bought.by)
    assert not stands_in_pool(bike)
    assert entry("opening", "2025-02-01", "90", bike=bike)


@pytest.mark.parametrize("kind", ["sale", "leaving"])
def test_articles_go_out_one_at_a_time(pool, manager, kind):
    with pytest.raises(PoolError, match="one price"):
        enter(
            kind=EntryKind(kind),
            day=FIRST,
            prices=[Decimal(1), Decimal(2)],
            description="two",
            by=manager,
            shop=ShopFactory.create(),
        )


def test_a_price_below_zero_is_refused(pool):
    with pytest.raises(PoolError, match="below zero"):
        entry("sale", "2025-02-01", "-1")


# taking back


def test_in_an_open_period_an_entry_is_taken_back_on_its_own_day(pool):
    sold = entry("sale", "2025-02-01", "300")
    back = reverse_entry(sold, reason="typed twice", by=sold.by)
    assert (back.date, back.amount, back.kind) == (sold.date, -300, "sale")
    assert "typed twice" in back.description
    assert results()[0].result.period.vat == 0


def test_of_a_declared_period_an_entry_is_taken_back_today(pool, manager):
    sold = entry("sale", "2025-02-01", "300")
    declare(FIRST, by=manager, shop=ShopFactory.create())
    back = reverse_entry(sold, reason="brought back", by=manager)
    assert back.date == TODAY
    first, *_, now = results()
    assert (first.result.period.vat, first.differs) == (50, False)
    assert now.result.period.carried == 300


def test_an_entry_is_taken_back_once_with_a_reason(pool):
    sold = entry("sale", "2025-02-01", "300")
    with pytest.raises(PoolError, match="Say why"):
        reverse_entry(sold, reason=" ", by=sold.by)
    back = reverse_entry(sold, reason="typed twice", by=sold.by)
    with pytest.raises(PoolError, match="taken back already"):
        reverse_entry(sold, reason="again", by=sold.by)
    with pytest.raises(PoolError, match="takes another entry back"):
        reverse_entry(back, reason="no", by=sold.by)


def test_once_a_closed_pool_is_declared_nothing_is_taken_back(pool, manager):
    sold = entry("sale", "2025-02-01", "300")
    entry("closing", "2025-03-31", "900")
    declare(FIRST, by=manager, shop=ShopFactory.create())
    with pytest.raises(PoolError, match="closed and declared"):
        reverse_entry(sold, reason="brought back", by=manager)


def test_an_entry_is_never_changed_nor_deleted(pool):
    sold = entry("sale", "2025-02-01", "300")
    sold.amount = Decimal(1)
    with pytest.raises(KeptError, match="stays as it is"):
        sold.save()
    with pytest.raises(KeptError):
        sold.delete()
    with pytest.raises(DatabaseError, match="take it back"), transaction.atomic():
        PoolEntry.objects.update(amount=1)


def test_the_database_refuses_amounts_that_make_no_sense(pool):
    sold = entry("sale", "2025-02-01", "300")
    with pytest.raises(IntegrityError), transaction.atomic():
        PoolEntry.objects.create(date=FIRST, kind="sale", amount=-1, description="x", by=sold.by)


@pytest.mark.postgres
def test_on_postgresql_nothing_is_deleted_past_the_models(pool):
    entry("sale", "2025-02-01", "300")
    with pytest.raises(IntegrityError), transaction.atomic(), connection.cursor() as cursor:
        cursor.execute("DELETE FROM pool_poolentry")


# declaring


def test_periods_are_declared_in_order_once_they_have_ended(pool, manager):
    shop = ShopFactory.create()
    entry("purchase", "2025-01-05", "400")
    entry("sale", "2025-02-01", "1000")
    with pytest.raises(PoolError, match="earlier period"):
        declare(SECOND, by=manager, shop=shop)
    kept = declare(FIRST, by=manager, shop=shop)
    assert (kept.sales, kept.purchases, kept.margin, kept.vat) == (1000, 400, 600, 100)
    assert (kept.ends_on, kept.rate, kept.by) == (dt.date(2025, 3, 31), Decimal("0.2"), manager)
    with pytest.raises(PoolError, match="declared already"):
        declare(FIRST, by=manager, shop=shop)
    with pytest.raises(PoolError, match="have been declared"):
        entry("sale", "2025-03-31", "10")
    assert entry("sale", "2025-04-01", "10")


def test_a_running_period_is_not_declared(pool, manager):
    shop = ShopFactory.create()
    for view in results()[:-1]:
        declare(view.period.starts_on, by=manager, shop=shop)
    with pytest.raises(PoolError, match="not ended yet"):
        declare(dt.date(2026, 4, 1), by=manager, shop=shop)
    with pytest.raises(PoolError, match="no period"):
        declare(dt.date(2026, 4, 2), by=manager, shop=shop)


def test_a_period_without_a_rate_in_force_on_its_last_day_is_not_declared_at_no_vat(pool, manager):
    entry("sale", "2025-02-01", "1000")
    VatRate.objects.update(valid_from=dt.date(2025, 4, 1))
    with pytest.raises(PoolError, match="no standard rate of VAT"):
        declare(FIRST, by=manager, shop=ShopFactory.create())
    VatRate.objects.update(valid_from=dt.date(2025, 3, 31))
    assert declare(FIRST, by=manager, shop=ShopFactory.create()).rate == Decimal("0.2")


def test_what_was_declared_stays_and_a_difference_is_seen(pool, manager):
    entry("sale", "2025-02-01", "1000")
    kept = declare(FIRST, by=manager, shop=ShopFactory.create())
    VatRate.objects.update(rate=Decimal("0.25"))
    assert results()[0].differs
    with pytest.raises(KeptError):
        kept.save()
    with pytest.raises(DatabaseError), transaction.atomic():
        PoolReturn.objects.update(vat=0)


# setting up


def test_a_pool_is_set_up_and_changed_until_something_is_declared(db, manager):
    VatRateFactory.create()
    join_pool(joined_on=dt.date(2025, 1, 1), months=1, begins_in=1)
    assert len(results()) == 17
    join_pool(joined_on=dt.date(2025, 1, 1), months=2, begins_in=1)
    assert len(results()) == 9
    declare(FIRST, by=manager, shop=ShopFactory.create())
    with pytest.raises(PoolError, match="has been declared"):
        join_pool(joined_on=dt.date(2025, 1, 1), months=3, begins_in=1)
    assert Pool.objects.get().months == 2


def test_a_pool_does_not_begin_after_its_first_entry(pool):
    entry("purchase", "2025-02-01", "20")
    with pytest.raises(PoolError, match="entry of 1 February 2025"):
        join_pool(joined_on=dt.date(2025, 2, 2), months=3, begins_in=1)


def test_the_pool_is_locked_before_it_is_asked_whether_it_may_change(pool):
    with CaptureQueriesContext(connection) as asked:
        join_pool(joined_on=dt.date(2025, 1, 1), months=1, begins_in=1)
    first = next(each["sql"] for each in asked if each["sql"].startswith("SELECT"))
    assert f'FROM "{Pool._meta.db_table}"' in first


def test_a_year_ends_what_is_carried_where_the_law_says_so(db):
    british_pool()
    PoolRuleFactory.create(valid_from=dt.date(2025, 6, 1), carry=Carry.WITHIN_YEAR)
    entry("purchase", "2025-11-01", "400")
    entry("sale", "2026-01-10", "120")
    *_, last, first, _now = results()
    assert (last.result.period.carried, first.result.dropped, first.result.period.vat) == (
        400,
        400,
        20,
    )
