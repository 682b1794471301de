"""Published examples of the margin scheme, taken through the shop's own pool and rates."""

import datetime as dt
from decimal import Decimal

import pytest
from django.utils import timezone

from quotes.core.pool import Carry, PoolMoves, run_pool
from quotes.core.vat import margin_vat
from quotes.pool.models import EntryKind
from quotes.pool.selectors import legend_on, pool_page
from quotes.pool.verbs.enter import AboveLimitError, enter
from quotes.pool.verbs.join import join_pool
from quotes.pool.verbs.set_up_country import set_up_country
from tests.factories.people import UserFactory
from tests.factories.shop import ShopFactory
from workshop.shop.selectors import vat_rates_on

pytestmark = pytest.mark.django_db

JOINED, DAY, LATER = dt.date(2026, 1, 1), dt.date(2026, 2, 3), dt.date(2026, 5, 4)


@pytest.fixture
def shop_in(monkeypatch):
    """A shop in a country with its ready-made rates and rules, and a pool by quarters."""
    monkeypatch.setattr(timezone, "localdate", lambda *_: dt.date(2026, 6, 1))

    def made(country):
        ShopFactory.create()
        shop, _ = set_up_country(country)
        pool = join_pool(joined_on=JOINED, months=3, begins_in=1)
        by = UserFactory.create(manager=True)

        def put(kind, *prices, day=DAY):
            enter(
                kind=EntryKind(kind),
                day=day,
                prices=[Decimal(price) for price in prices],
                description="an example",
                by=by,
                shop=shop,
            )

        def quarters():
            page = pool_page(pool, shop, dt.date(2026, 6, 1))
            return [each.result for each in reversed(page.periods)]

        return put, quarters

    return made


def test_bought_600_sold_900_fills_the_boxes(shop_in):
    # Boxes: HMRC Notice 718 as restated by vatforum.co.uk 55951; figures computed from it
    put, quarters = shop_in("GB")
    put("purchase", "300", "300")
    put("sale", "900")
    boxes = quarters()[0].boxes
    assert (boxes.box_1, boxes.box_6, boxes.box_7, boxes.box_8, boxes.box_9) == (
        *(50, 850, 600),
        *(0, 0),
    )


def test_sales_of_20_000_less_purchases_of_8_000_bear_2_000(shop_in):
    # goselfemployed.co, Global accounting: margin 12 000, VAT 2 000
    put, quarters = shop_in("GB")
    put("purchase", *["500"] * 16)
    put("sale", "20000")
    period = quarters()[0].period
    assert (period.margin_gross, period.vat) == (12_000, 2_000)


def test_an_excess_counts_as_purchases_of_the_next_quarter(shop_in):
    # SI 1995/1268 art 13(3) to (6), in HMRC VATMARG03050
    put, quarters = shop_in("GB")
    put("purchase", "400", "400")
    put("sale", "500")
    put("purchase", "300", day=LATER)
    put("sale", "900", day=LATER)
    first, second = quarters()
    assert (first.period.vat, first.period.carried) == (0, 300)
    assert (second.brought, second.period.margin_gross, second.period.vat) == (300, 300, 50)


def test_a_loss_on_one_article_is_set_off_within_the_pool(shop_in):
    # marcusward.co, April 2015: not offset under the individual scheme, offset in the pool
    put, quarters = shop_in("GB")
    put("purchase", "220", "120")
    put("sale", "100")
    put("sale", "300")
    assert quarters()[0].period.vat == 10
    apart = [
        margin_vat(Decimal(100), Decimal(220), Decimal("0.2"), "GBP"),
        margin_vat(Decimal(300), Decimal(120), Decimal("0.2"), "GBP"),
    ]
    assert apart == [0, 30]


def test_goods_that_leave_lower_the_purchases(shop_in):
    # HMRC VATMARG03400
    put, quarters = shop_in("GB")
    put("purchase", "400", "200")
    put("leaving", "200")
    put("sale", "900")
    assert quarters()[0].period.margin_gross == 500


def test_opening_stock_is_a_credit_on_joining(shop_in):
    # HMRC VATMARG03450
    put, quarters = shop_in("GB")
    put("opening", "500", "100")
    put("sale", "900")
    first, _ = quarters()
    assert (first.period.vat, first.boxes.box_7) == (50, 0)


# stock on leaving, VAT
LEAVING = [("6000", "0.00"), ("6000.06", "1000.01")]


@pytest.mark.parametrize(("stock", "vat"), LEAVING)
def test_on_leaving_the_stock_counts_as_sold_unless_its_vat_is_little(shop_in, stock, vat):
    # HMRC VATMARG03650; the waiver up to £1,000 by Notice 718; the purchase price from memory
    put, quarters = shop_in("GB")
    put("closing", stock)
    (last,) = quarters()
    assert last.period.vat == Decimal(vat)


def test_exactly_500_pounds_may_be_pooled_and_a_penny_more_may_not(shop_in):
    # HMRC VATMARG03200; Tolley V3.535
    put, _ = shop_in("GB")
    put("purchase", "500")
    with pytest.raises(AboveLimitError):
        put("purchase", "500.01")


def test_of_a_german_lot_the_two_dear_pieces_stand_alone(shop_in):
    # th-berater.de: a lot of 4 000 with pieces at 1 400 and 1 600; 1 000 are pooled
    put, quarters = shop_in("DE")
    rest = ["250"] * 4
    with pytest.raises(AboveLimitError) as refused:
        put("purchase", "1400", "1600", *rest)
    assert refused.value.prices == (1400, 1600)
    put("purchase", *rest)
    assert quarters()[0].moves.purchases == 1000


def test_a_german_margin_of_595_bears_95_and_leaves_500(shop_in):
    # Haufe, example to § 25a UStG: bought 2 000, sold 2 595, 19 %; the same margin in the pool
    put, quarters = shop_in("DE")
    put("sale", "595")
    first, _ = quarters()
    assert (first.period.vat, first.margin_net) == (95, 500)


def test_a_german_excess_ends_with_its_calendar_year():
    # § 25a UStG, Gesamtdifferenz: from memory
    def quarter(year, month, **sums):
        ends = dt.date(year, month + 2, 28)
        amounts = {name: Decimal(value) for name, value in sums.items()}
        return PoolMoves(dt.date(year, month, 1), ends, Decimal("0.19"), **amounts)

    periods = [
        quarter(2025, 7, purchases=1000),
        quarter(2025, 10, sales=405),
        quarter(2026, 1, sales=595),
    ]
    *_, last = run_pool(periods, "EUR", carry=Carry.WITHIN_YEAR, waived_up_to=None)
    assert (last.dropped, last.period.vat) == (595, 95)


def test_an_irish_margin_of_123_bears_23_and_the_invoice_says_why_no_vat_is_shown(shop_in):
    # Irish Revenue, margin scheme notes, VATCA 2010 s. 87: rate / (1 + rate), 23/123
    put, quarters = shop_in("IE")
    put("sale", "123")
    assert quarters()[0].period.vat == vat_rates_on(DAY)["standard"] * 100 == 23
    assert "does not give the right to an input credit of VAT" in legend_on(DAY)


def test_a_restored_table_bears_vat_on_its_margin_alone(shop_in):
    # goselfemployed.co, VAT margin scheme: bought 500, restorer 500, sold 1 500; the page prints
    # 166.70 by 16.67 %, the sixth that it stands for gives 166.67
    put, quarters = shop_in("GB")
    put("purchase", "500")
    put("sale", "1500")
    assert quarters()[0].period.vat == Decimal("166.67")
