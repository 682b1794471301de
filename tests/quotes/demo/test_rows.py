"""The demo's bikes: enough at every stage to see how lists and boards look when they are full."""

from collections import Counter

from quotes.demo.rows import bike_rows
from quotes.demo.trading import sale_rows
from workshop.bikes.models import Stage

MANY = 12


def test_many_bikes_stand_at_every_stage():
    count = Counter(row.stage for row in bike_rows())
    count[Stage.SOLD] -= sum(bool(sale.taken_back) for sale in sale_rows().values())
    assert {stage: count[stage] for stage in Stage if count[stage] < MANY} == {}
