"""The demo's sales: every sold bike has its row, and a bad row is told."""

import pytest

from quotes.demo import trading
from quotes.demo.rows import DemoError, bike_rows, read_csv
from quotes.demo.trading import sale_rows
from quotes.sales.models import Channel
from workshop.bikes.models import Purpose, Stage


def test_every_sold_bike_says_what_it_brought():
    sold = [row for row in bike_rows() if row.stage == Stage.SOLD]
    sales = sale_rows()
    assert len(sold) == 13
    assert {row.fields["frame_number"] for row in sold} == set(sales)
    for row in sold:
        sale = sales[row.fields["frame_number"]]
        assert row.fields["purpose"] == Purpose.BUY_IN
        assert 0 <= sale.days < row.days_ago
        assert sale.channel in Channel.values
        assert sale.sold_for > 0
    assert sum(bool(each.taken_back) for each in sales.values()) == 1
    assert any(each.sold_for < each.paid for each in sales.values())
    assert any(each.along for each in sales.values())


def test_a_bad_row_is_told_by_file_and_line(monkeypatch):
    rows = read_csv(trading.FILE)
    bad = [rows[0], {**rows[1], "sold_for": "much"}]
    monkeypatch.setattr(trading, "read_csv", lambda name: bad)
    with pytest.raises(DemoError, match=r"sales\.csv, line 3"):
        sale_rows()
