"""An order ended by hand, and one opened again for what was taken back."""

import pytest

from inventory.purchasing.errors import PurchaseError
from inventory.purchasing.models import (
    PurchaseOrder,
    State,
)
from inventory.purchasing.selectors import order_page
from inventory.purchasing.standing import on_order
from inventory.purchasing.verbs.close import close
from inventory.purchasing.verbs.reopen import reopen
from inventory.stock.verbs.reverse import reverse_movement
from tests.factories.purchasing import came, ordered, part_of
from tests.factories.stock import a_key

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("printed_quickly", "proven_ledger")]


def test_an_order_of_which_nothing_came_is_cancelled(by):
    order = ordered()
    with pytest.raises(PurchaseError, match="Write why"):
        close(order, reason=" ", by=by)
    assert close(order, reason="ordered twice", by=by).state == State.CANCELLED
    assert on_order([part_of(order).pk]) == {}
    with pytest.raises(PurchaseError, match="ended by hand"):
        reopen(order, by=by)


def test_the_rest_of_an_order_is_closed(by):
    order = ordered(packs=5)
    came(order, 2)
    ended = close(order, reason="out of stock", by=by)
    assert (ended.state, ended.closed_by) == (State.CLOSED, by)
    assert on_order([part_of(order).pk]) == {}
    with pytest.raises(PurchaseError, match="ended by hand"):
        reopen(order, by=by)


def test_goods_taken_back_are_to_come_again(by):
    order = ordered(packs=5)
    delivery = came(order, 5)
    movement = delivery.lines.get().movement
    reverse_movement(movement, reason="wrong parcel", by=by, key=a_key())
    assert order_page(PurchaseOrder.objects.get()).can_reopen
    assert reopen(order, by=by).state == State.ORDERED
    assert on_order([part_of(order).pk]) == {part_of(order).pk: 5}
    came(order, 3)
    assert reopen(order, by=by).state == State.PART_DELIVERED
