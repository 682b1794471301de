"""Sums of lines: of one importance, by rate, without what is left out."""

from decimal import Decimal
from types import SimpleNamespace

from quotes.core.lines import Change, Sum, VatSum
from quotes.core.pricing import labour_minutes, price, totals
from tests.quotes.core.making import COULD, MUST, SHOULD, book, job, operation, part
from workshop.core.judgement import Importance

JOBS = [
    job("1", operation("a", "25"), importance=MUST, parts=[part("p", "a", vat_code="zero")]),
    job("2", operation("b", "50"), importance=SHOULD),
]
LINES = price(JOBS, book()).lines


def test_the_whole_is_every_line():
    assert totals(LINES).whole == Sum(Decimal(70), Decimal(12), Decimal(82))


def test_one_importance_counts_only_its_own_lines():
    must = totals(LINES, MUST)
    assert must.whole == Sum(Decimal(30), Decimal(4), Decimal(34))
    assert must.by_importance[SHOULD] == Sum(Decimal(0), Decimal(0), Decimal(0))


def test_an_importance_without_lines_is_there_with_nothing():
    assert totals(LINES).by_importance[COULD].gross == 0
    assert set(totals([]).by_importance) == set(Importance)


def test_rates_come_highest_first_with_their_own_net():
    assert totals(LINES).by_rate == (
        VatSum(Decimal("0.2"), Decimal(60), Decimal(12)),
        VatSum(Decimal(0), Decimal(10), Decimal(0)),
    )


def test_a_shop_that_is_not_registered_shows_no_rates():
    assert totals(LINES, registered=False).by_rate == ()


def test_lines_left_out_count_neither_money_nor_minutes():
    lines = price(JOBS, book(), changes={"labour:b": Change(leave_out=True)}).lines
    assert totals(lines).whole.net == 30
    assert labour_minutes(lines) == 25


def test_lines_read_back_from_where_they_are_kept_are_summed_the_same():
    names = ("kind", "importance", "quantity", "net", "vat_rate", "vat", "gross", "left_out")
    kept = [SimpleNamespace(**{name: getattr(line, name) for name in names}) for line in LINES]
    for line in kept:
        line.kind, line.importance = line.kind.value, line.importance.value
    assert totals(kept) == totals(LINES)
    assert labour_minutes(kept) == labour_minutes(LINES)
