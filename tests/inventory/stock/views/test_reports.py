"""What the stock is and was worth, what lies dead, what is used; how costs are reckoned."""

import datetime as dt
from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone

from inventory.stock.models import (
    CostMethod,
    StockLevel,
)
from tests.asking import text_of
from tests.factories.parts import PartFactory
from tests.factories.stock import come_in, stocked, take
from tests.inventory.stock.addresses import REPORT

pytestmark = pytest.mark.django_db
D = Decimal


def test_the_stock_is_worth_what_it_was_worth_at_a_past_day(manager):
    part = PartFactory.create()
    come_in(part, 10, "2.00", days=10)
    take(part, 4, days=5)
    for days, worth in ((11, D(0)), (7, D(20)), (0, D(12))):
        day = timezone.localdate() - dt.timedelta(days=days)
        response = manager.get(REPORT, {"day": day.isoformat(), "days": 180})
        assert response.context["total"] == worth


def test_dead_stock_neither_came_in_nor_was_drawn(manager):
    dead, alive, fresh = (PartFactory.create(name=name) for name in ("Dead", "Alive", "Fresh"))
    for part in (dead, alive):
        come_in(part, 5, days=300)
        take(part, 1, days=250)
    take(alive, 1, days=20)
    come_in(fresh, 5, days=20)
    shown = manager.get(REPORT, {"day": timezone.localdate().isoformat(), "days": 180})
    found = shown.context["dead"]
    ((level, last),) = found.dearest
    assert level.part == dead
    assert timezone.localdate() - timezone.localtime(last).date() == dt.timedelta(days=250)
    assert found.value == 16


def test_what_is_used_most_leaves_out_what_came_back_and_costs_what_it_cost(manager):
    chain, tube = (stocked(9, "3.00", name=name) for name in ("Chain", "Tube"))
    take(tube, 2)
    drawn = take(chain, 5)
    from inventory.stock.verbs.give_back import give_back

    give_back(drawn, quantity=D(4), by=manager.person, key="b")
    used = manager.get(REPORT).context["used"]
    assert [(each.part, each.quantity, each.cost) for each in used] == [
        (tube, 2, 6),
        (chain, 1, 3),
    ]
    assert used[0].margin == 10


def test_a_report_for_no_day_says_so(manager):
    assert manager.get(REPORT, {"day": "soon", "days": "0"}).status_code == 422


@pytest.mark.parametrize("day", ["0001-01-01", "9999-12-31"])
def test_a_day_at_the_end_of_the_calendar_is_refused(manager, day):
    response = manager.get(REPORT, {"day": day, "days": "180"})
    assert response.status_code == 422
    assert "Write a day" in text_of(response)


def test_the_method_is_chosen_by_the_manager(manager):
    part = PartFactory.create()
    come_in(part, 1, 1, days=3)
    come_in(part, 1, 3, days=2)
    take(part, 1)
    manager.post(reverse("stock:method"), {"method": CostMethod.FIFO})
    assert StockLevel.objects.get(part=part).value == 3
    assert "first in, first out" in text_of(manager.get(REPORT))
    assert manager.post(reverse("stock:method"), {"method": "dice"}).status_code == 422
