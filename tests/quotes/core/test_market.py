"""Facts beside a price: quarters by month, medians that a wild price does not move, counts."""

import pytest

from quotes.core.market import Seen, Share, market_of


def seen(ratio=1.0, month=1, days=None, asked=False):
    return Seen(ratio, month, days, asked)


@pytest.mark.parametrize(
    ("month", "quarter"), [(1, 1), (3, 1), (4, 2), (6, 2), (7, 3), (9, 3), (10, 4), (12, 4)]
)
def test_months_fall_in_quarters(month, quarter):
    assert seen(month=month).quarter == quarter
    shares = market_of([seen(1.2, month)]).quarters
    assert [share.count for share in shares] == [int(n == quarter) for n in (1, 2, 3, 4)]


def test_a_wild_price_makes_no_season():
    quarters = market_of([seen(0.98), seen(1.02), seen(1.0), seen(9.0), seen(1.01)]).quarters
    assert quarters[0] == Share(1.01, 5)
    assert quarters[1] == Share(None, 0)


def test_asked_and_sold_prices_are_told_apart():
    market = market_of([seen(1.1, asked=True), seen(1.06, asked=True), seen(0.97)])
    assert market.asked == Share(pytest.approx(1.08), 2)
    assert market.sold == Share(0.97, 1)


def test_days_on_the_shelf_are_those_that_are_known():
    market = market_of([seen(days=10), seen(days=0), seen(days=41), seen()])
    assert (market.days_on_shelf, market.shelf_count) == (10, 3)


def test_nothing_seen_says_nothing():
    market = market_of([])
    assert (market.days_on_shelf, market.shelf_count, market.asked) == (None, 0, Share(None, 0))
