"""Costing of stock against worked tables that were published.

Sources:
- FA: a table of perpetual stock records in a textbook of financial accounting, as found in an
  extract kept by a document-sharing site; its FIFO column is printed there, its moving average is
  worked from the same inputs.
- FinCal: the example of function ``cogs`` in the R package FinCal (2@2, 3@3, 5@5; 7 sold).
- OpenStax: Principles of Accounting, volume 1, chapter 10 (150@21, 225@27, 210@33; 120 and 180
  sold); inputs from memory, results worked from them.
"""

from decimal import Decimal

import pytest

from inventory.core.costing import Costed, Entry, Method, cost

D = Decimal
CENT = D("0.01")

FA = ((10, 91), (15, 106), -20, (20, 115), (10, 119), -23)
FINCAL = ((2, 2), (3, 3), (5, 5), -7)
OPENSTAX = ((150, 21), -120, (225, 27), -180, (210, 33))


def costed(table: tuple, method: Method) -> Costed:
    """Return a table's costs; a pair is bought (quantity, price), a number sold."""
    entries = [
        Entry(D(each[0]), D(each[0] * each[1])) if isinstance(each, tuple) else Entry(D(each))
        for each in table
    ]
    return cost(entries, method, CENT)


def issues(result: Costed) -> list[Decimal]:
    return [-value for value in result.values if value < 0]


def periodic(table: tuple) -> tuple:
    """Return the table with all that is sold taken at the end of the period, in one go."""
    sold = sum(each for each in table if not isinstance(each, tuple))
    return (*(each for each in table if isinstance(each, tuple)), sold)


@pytest.mark.parametrize(
    ("table", "method", "sold", "left"),
    [
        (FA, Method.FIFO, [1970, 2600], 1420),
        (FA, Method.AVERAGE, [2000, 2622], 1368),
        (FINCAL, Method.FIFO, [23], 15),
        (FINCAL, Method.AVERAGE, [D("26.60")], D("11.40")),
        (OPENSTAX, Method.FIFO, [2520, 4680], 8955),
        (OPENSTAX, Method.AVERAGE, [2520, D("4732.94")], D("8902.06")),
    ],
    ids=["FA fifo", "FA average", "FinCal fifo", "FinCal average", "OpenStax fifo", "OpenStax avg"],
)
def test_perpetual_records(table, method, sold, left):
    result = costed(table, method)
    assert issues(result) == sold
    assert result.value_left == left


@pytest.mark.parametrize(
    ("method", "sold", "left"),
    [(Method.FIFO, D(7200), D(8955)), (Method.AVERAGE, D("8284.62"), D("7870.38"))],
)
def test_a_period_costed_at_its_end(method, sold, left):
    """All 300 sold are taken once, from all 585 bought: 16 155 in, as much out and left."""
    result = costed(periodic(OPENSTAX), method)
    assert issues(result) == [sold]
    assert result.value_left == left
    assert sold + left == 16155


def test_the_averages_in_between_are_those_printed():
    """FA: 25 pieces for 2 500 make 100 each; then 35 pieces for 3 990 make 114 each."""
    upto = costed(FA[:2], Method.AVERAGE)
    assert upto.value_left / upto.quantity_left == 100
    upto = costed(FA[:5], Method.AVERAGE)
    assert upto.value_left / upto.quantity_left == 114
