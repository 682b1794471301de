"""The demo's sales: every sold bike has its row, and a bad row is told."""

import pytest

from quotes.demo import buying, trading
from quotes.demo.buying import purchase_rows
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
    assert any(each.paid_back for each in sales.values())


def test_a_bad_row_is_told_by_file_and_line(monkeypatch):
    rows = read_csv(trading.FILE)
    bad = [rows[0], {**rows[1], "sold_for": "much"}]
    monkeypatch.setattr(trading, "read_csv", lambda name: bad)
    with pytest.raises(DemoError, match=r"sales\.csv, line 3"):
        sale_rows()


def test_bikes_are_bought_under_every_scheme_and_one_is_put_right():
    rows = purchase_rows()
    stages = {row.fields["frame_number"]: row.stage for row in bike_rows()}
    assert set(rows) <= set(stages)
    assert {stages[number] for number in rows} == {Stage.BOUGHT, Stage.SOLD}
    pooled = {number for number, row in rows.items() if row.pooled}
    invoiced = {number for number, row in rows.items() if row.invoice}
    assert {stages[number] for number in pooled} == {Stage.BOUGHT, Stage.SOLD}
    assert {stages[number] for number in invoiced} == {Stage.BOUGHT, Stage.SOLD}
    assert not pooled & invoiced
    assert sum(row.slip is not None for row in rows.values()) == 1


def test_a_bad_purchase_is_told_by_file_and_line(monkeypatch):
    rows = read_csv(buying.FILE)
    bad = [rows[0], {**rows[1], "slip": "much"}]
    monkeypatch.setattr(buying, "read_csv", lambda name: bad)
    with pytest.raises(DemoError, match=r"purchases\.csv, line 3"):
        purchase_rows()


def test_some_bikes_are_looked_over_alone():
    alone = [row for row in bike_rows() if row.check_alone]
    assert {row.stage for row in alone} == {Stage.IN_WORK, Stage.RELEASED}
    assert {row.answer for row in alone} == {"none"}
