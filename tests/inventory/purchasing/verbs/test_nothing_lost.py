"""Whatever is ordered, comes, goes back and is given up: nothing is lost on the way."""

from decimal import Decimal

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from inventory.purchasing.errors import PurchaseError
from inventory.purchasing.models import (
    DeliveryLine,
    PurchaseLine,
    PurchaseOrder,
    State,
)
from inventory.purchasing.selectors import order_page
from inventory.purchasing.standing import in_drafts, on_order
from inventory.purchasing.verbs.close import close
from inventory.purchasing.verbs.reopen import reopen
from inventory.stock.verbs.reverse import reverse_movement
from tests.factories.people import UserFactory
from tests.factories.purchasing import came, ordered, sold
from tests.factories.stock import a_key, take

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("printed_quickly", "proven_ledger")]
D = Decimal


STEPS = st.lists(
    st.tuples(
        st.sampled_from(["order", "come", "come", "back", "close", "reopen", "draw"]),
        st.integers(0, 3),
        st.integers(1, 6),
    ),
    min_size=1,
    max_size=14,
)


def do(step, articles, by):
    """Do a step as far as the orders let it."""
    what, which, many = step
    orders = list(PurchaseOrder.objects.exclude(state=State.DRAFT).order_by("pk"))
    order = orders[which % len(orders)] if orders else None
    if what == "order":
        ordered(*articles, packs=many, by=by)
    elif what == "draw":
        take(articles[0].part, many, by=by)
    elif order is None:
        return
    elif what == "come":
        came(order, many, many, by=by, over_reason="a gift" if which % 2 else "")
    elif what == "back" and (row := DeliveryLine.objects.order_by("pk").last()):
        reverse_movement(row.movement, reason="wrong", by=by, key=a_key())
    elif what == "close":
        close(order, reason="enough", by=by)
    elif what == "reopen":
        reopen(order, by=by)


@settings(max_examples=25, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(steps=STEPS)
def test_ordered_is_come_and_still_to_come_and_given_up(db, steps):
    """For each line, whatever comes, is taken back, closed and opened again in whatever order."""
    from django.db import transaction

    from inventory.stock.errors import StockError

    with transaction.atomic():
        by = UserFactory.create()
        first = sold()
        articles = (first, sold(supplier=first.supplier, pack=2))
        for step in steps:
            try:
                do(step, articles, by)
            except (PurchaseError, StockError):
                continue
        for article in articles:
            lines = PurchaseLine.objects.filter(part=article.part).select_related("order")
            rows = [row for x in lines for row in order_page(x.order).rows if row.line == x]
            kept = DeliveryLine.objects.filter(line__in=lines, movement__reversal__isnull=True)
            assert sum(row.came for row in rows) == sum(each.quantity for each in kept)
            expected = sum(row.to_come for row in rows if row.line.order.is_open)
            assert on_order([article.part_id]).get(article.part_id, 0) == expected
            for row in rows:
                over = max(row.came - row.line.pieces, D(0))
                assert row.line.pieces + over == row.came + row.to_come
        assert in_drafts([each.part_id for each in articles]) == {}
        transaction.set_rollback(True)
