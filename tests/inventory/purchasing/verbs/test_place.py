"""Ordering: a number, a day, the carriage and the paper, once."""

import datetime as dt
from decimal import Decimal

import pytest
from django.utils import timezone

from inventory.purchasing.errors import PurchaseError
from inventory.purchasing.models import (
    OrderDocument,
    State,
)
from inventory.purchasing.verbs.change_draft import LineChange, change_draft
from inventory.purchasing.verbs.place import place
from tests.factories.purchasing import drafted, ordered, sold
from tests.factories.shop import ShopFactory
from tests.factories.suppliers import SupplierFactory

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("printed_quickly", "proven_ledger")]
D = Decimal


def test_an_order_is_numbered_dated_and_kept_as_paper(by):
    article = sold(supplier=SupplierFactory.create(lead_days=3, terms="30 days", own_number="77"))
    order = ordered(article, by=by)
    assert (order.number, order.state, order.ordered_by) == ("P0001", State.ORDERED, by)
    assert (order.supplier_name, order.terms, order.own_number) == (
        article.supplier.name, "30 days", "77",
    )  # fmt: skip
    assert order.expected_on > timezone.localdate() + dt.timedelta(days=2)
    assert bytes(OrderDocument.objects.get().pdf).startswith(b"%PDF")
    assert ordered().number == "P0002"


def test_an_order_is_placed_once(by):
    order = ordered()
    assert place(order, by=by, shop=ShopFactory.create()).number == order.number
    assert OrderDocument.objects.count() == 1


def test_an_empty_draft_is_not_ordered_and_takes_no_number(by):
    draft = drafted(sold())
    change_draft(draft, [LineChange(draft.lines.get(), 0)], note="")
    with pytest.raises(PurchaseError, match="Nothing stands"):
        place(draft, by=by, shop=ShopFactory.create())
    assert ordered().number == "P0001"


@pytest.mark.parametrize(("packs", "carriage"), [(9, D("7.50")), (10, None)])
def test_carriage_is_free_from_the_threshold_on(packs, carriage):
    supplier = SupplierFactory.create(carriage_free_net=100, carriage_net=D("7.50"))
    assert ordered(sold(supplier=supplier, price=10), packs=packs).carriage_net == carriage
