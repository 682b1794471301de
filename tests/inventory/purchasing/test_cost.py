"""A price that differs at goods-in is what the stock costs: by average and first in, first out."""

from decimal import Decimal

import pytest
from django.utils import timezone
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from inventory.purchasing.selectors import order_page
from inventory.stock.models import CostMethod, StockLevel, StockMovement, StockSettings
from tests.factories.parts import PartFactory
from tests.factories.people import UserFactory
from tests.factories.purchasing import came, ordered, sold
from tests.factories.stock import come_in, days_ago, take

pytestmark = pytest.mark.django_db
D = Decimal


@pytest.fixture(autouse=True)
def _printed_quickly(monkeypatch):
    monkeypatch.setattr("inventory.paper.press.pdf_of", lambda html: b"%PDF")


def ordered_then(days, *articles, monkeypatch, **more):
    """An order that was sent some days ago."""
    past = days_ago(days)
    with monkeypatch.context() as patched:
        patched.setattr(timezone, "now", lambda: past)
        return ordered(*articles, **more)


@pytest.mark.parametrize(
    ("method", "drawn", "left"),
    [
        (CostMethod.AVERAGE, D("57.00"), D("38.00")),  # 20 for 95.00 are 4.75 each
        (CostMethod.FIFO, D("51.00"), D("44.00")),  # ten at 4.00, two at 5.50; eight at 5.50 left
    ],
)
def test_dearer_goods_make_what_is_drawn_dearer(method, drawn, left):
    StockSettings.objects.create(pk=1, method=method)
    part = PartFactory.create()
    come_in(part, 10, "4.00", days=2)
    order = ordered(sold(part, "5.00"), packs=10)
    came(order, 10, price="5.50")
    assert order_page(order).dearer_net == 5
    assert take(part, 12).value == -drawn
    assert StockLevel.objects.get(part=part).value == left


@pytest.mark.parametrize(
    ("method", "before", "after"),
    [
        # 4 of 8 for 34.00 are 17.00; with the four at 6.50 that came before it, 12 for 60.00
        (CostMethod.AVERAGE, D("17.00"), D("20.00")),
        # the four at 4.00 that lay there; the ones entered late came after those
        (CostMethod.FIFO, D("16.00"), D("16.00")),
    ],
)
def test_goods_entered_late_at_another_price_put_right_what_was_drawn(
    method, before, after, monkeypatch
):
    StockSettings.objects.create(pk=1, method=method)
    part = PartFactory.create()
    order = ordered_then(9, sold(part, "6.00"), packs=4, monkeypatch=monkeypatch)
    come_in(part, 4, "4.00", days=8)
    come_in(part, 4, "4.50", days=7)
    drawn = take(part, 4, days=1)
    assert drawn.value == -before
    came(order, 4, price="6.50", came_on=timezone.localtime(days_ago(3)).date())
    rows = StockMovement.objects.filter(pk=drawn.pk) | StockMovement.objects.filter(corrects=drawn)
    assert sum(row.value for row in rows) == -after


@settings(max_examples=25, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    method=st.sampled_from(list(CostMethod)),
    deliveries=st.lists(
        st.tuples(st.integers(1, 6), st.decimals(0, 40, places=2)), min_size=1, max_size=4
    ),
    pack=st.integers(1, 4),
    drawn=st.integers(0, 24),
)
def test_no_penny_of_a_delivery_is_lost(db, method, deliveries, pack, drawn):
    """What suppliers were to be paid is in what was drawn and what lies there."""
    from django.db import transaction

    with transaction.atomic():
        StockSettings.objects.update_or_create(pk=1, defaults={"method": method})
        by, part = UserFactory.create(), PartFactory.create()
        paid, there = D(0), 0
        for packs, price in deliveries:
            order = ordered(sold(part, "9.99", pack=pack), packs=packs, by=by)
            came(order, packs * pack, price=price, by=by)
            paid, there = paid + packs * price, there + packs * pack
        used = take(part, min(drawn, there), by=by).value if drawn else D(0)
        assert StockLevel.objects.get(part=part).value - used == paid
        transaction.set_rollback(True)
