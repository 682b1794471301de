"""Published examples of pooled margins, and the rules of the pool."""

from decimal import Decimal

import pytest

from quotes.core.global_margin import closing_period, pool_period, split_lot

BRITISH, DUTCH = Decimal("0.20"), Decimal("0.19")


def test_a_periods_margin_is_all_sales_less_all_purchases():
    # goselfemployed.co, Global accounting: sales 20 000, purchases 8 000
    period = pool_period(Decimal(20_000), Decimal(8_000), BRITISH, "GBP")
    assert (period.margin_gross, period.vat) == (12_000, 2_000)


def test_a_negative_quarter_is_set_against_the_next():
    # Belastingdienst, Marge-regeling (booklet as kept by yumpu.com 20495594), page 6, in euros
    first = pool_period(Decimal(30_000), Decimal(40_000), DUTCH, "EUR")
    second = pool_period(Decimal(40_000), Decimal(25_000), DUTCH, "EUR", carried=first.carried)
    assert (first.margin_gross, first.vat, first.carried) == (0, 0, 10_000)
    assert second.margin_gross == 5_000
    assert round(second.vat) == 798  # the booklet prints whole euros


def test_a_years_margin_bears_the_printed_vat():
    # the same booklet, page 8: 40 000 bear 6 387 in whole euros
    assert round(pool_period(Decimal(40_000), Decimal(0), DUTCH, "EUR").vat) == 6_387


def test_nothing_is_refunded_where_purchases_exceed_sales():
    # SI 1995/1268 art 13(3) to (6), in HMRC VATMARG03050
    period = pool_period(Decimal(1_000), Decimal(1_500), BRITISH, "GBP")
    assert (period.vat, period.carried) == (0, 500)


def test_the_excess_counts_as_purchases_of_the_next_period():
    # SI 1995/1268 art 13(5) and (6), in HMRC VATMARG03050
    carried = pool_period(Decimal(2_000), Decimal(300), BRITISH, "GBP", carried=Decimal(500))
    bought = pool_period(Decimal(2_000), Decimal(800), BRITISH, "GBP")
    assert carried == bought


def test_goods_sold_outside_the_pool_lower_its_purchases():
    # HMRC VATMARG03400
    with_them = pool_period(Decimal(900), Decimal(600), BRITISH, "GBP", withdrawn=Decimal(200))
    assert with_them == pool_period(Decimal(900), Decimal(400), BRITISH, "GBP")


def test_opening_stock_is_a_credit_on_joining():
    # HMRC VATMARG03450: counts as a purchase of the first period
    joined = pool_period(Decimal(900), Decimal(100), BRITISH, "GBP", carried=Decimal(500))
    assert joined.vat == 50


# prices of a lot, limit, alone, source
LOTS = [
    (["500", "500.01", "20"], "500", ["500.01"], "HMRC VATMARG03200; Tolley V3.535: £500 or less"),
    (["1400", "1600", "400", "600"], "750", ["1400", "1600"], "th-berater.de: two pieces alone"),
]


@pytest.mark.parametrize(("prices", "limit", "alone", "source"), LOTS)
def test_dear_pieces_of_a_lot_stand_alone(prices, limit, alone, source):
    found, pooled = split_lot([Decimal(each) for each in prices], Decimal(limit))
    assert list(found) == [Decimal(each) for each in alone], source
    assert len(found) + len(pooled) == len(prices)


def test_the_german_lot_leaves_a_thousand_to_be_pooled():
    # th-berater.de: a lot of 4 000 with pieces at 1 400 and 1 600; 1 000 are pooled
    _, pooled = split_lot([Decimal(1400), Decimal(1600), *[Decimal(250)] * 4], Decimal(500))
    assert sum(pooled) == 1_000


# VAT in the stock left, whether it is counted, source
CEASING = "HMRC Notice 718: no adjustment where the VAT on the stock in hand is £1,000 or less"


@pytest.mark.parametrize(("stock", "counted"), [("6000", False), ("6001", True)])
def test_on_leaving_the_stock_counts_as_sold_unless_it_bears_little_vat(stock, counted):
    period = closing_period(Decimal(100), Decimal(100), Decimal(stock), BRITISH, "GBP")
    assert (period.margin_gross > 0) is counted, CEASING
