"""What was ordered and what came stays as it is, though somebody writes past the verbs."""

import pytest
from django.db import DatabaseError, connection, transaction
from django.db.models import ProtectedError

from inventory.purchasing.models import (
    Delivery,
    DeliveryLine,
    KeptOrderError,
    OrderDocument,
    PurchaseLine,
    PurchaseOrder,
    State,
)
from inventory.purchasing.verbs.close import close
from tests.factories.people import UserFactory
from tests.factories.purchasing import came, drafted, ordered, sold
from tests.factories.suppliers import SupplierFactory

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _printed_quickly(monkeypatch):
    monkeypatch.setattr("inventory.paper.press.pdf_of", lambda html: b"%PDF")


@pytest.fixture
def order(db):
    """An order of which something has come."""
    made = ordered(packs=5)
    came(made, 2)
    return PurchaseOrder.objects.get(pk=made.pk)


def refused(rows, **change):
    """See that the database refuses a change of these rows."""
    with pytest.raises(DatabaseError), transaction.atomic():
        rows.update(**change)


@pytest.mark.parametrize(
    "change",
    [
        {"note": "cheaper, please"},
        {"number": "P9999"},
        {"currency": "EUR"},
        {"supplier_name": "Another"},
        {"carriage_net": 1},
        {"ordered_at": "2026-01-01T00:00Z"},
        {"state": State.DRAFT},
        {"state": State.CLOSED},  # closed when nobody says when
    ],
)
def test_a_sent_order_is_not_changed(order, change):
    refused(PurchaseOrder.objects.filter(pk=order.pk), **change)


def test_a_sent_order_does_not_go_to_another_supplier(order):
    refused(PurchaseOrder.objects.filter(pk=order.pk), supplier=SupplierFactory.create())


def test_its_lines_are_not_changed_nor_added_to(order):
    line = order.lines.get()
    refused(PurchaseLine.objects.filter(pk=line.pk), packs=9)
    refused(PurchaseLine.objects.filter(pk=line.pk), pack_cost_net=1)
    line.pk, line.key = None, "another"
    with pytest.raises(DatabaseError), transaction.atomic():
        line.save(force_insert=True)


def test_a_drafts_line_is_not_moved_into_a_sent_order(order):
    draft = drafted(sold())
    refused(PurchaseLine.objects.filter(order=draft), order=order)


def test_its_paper_is_not_changed(order):
    refused(OrderDocument.objects.filter(order=order), pdf=b"%PDF other")


def test_what_came_is_not_changed(order):
    refused(Delivery.objects.filter(order=order), reference="another note")
    refused(DeliveryLine.objects.filter(delivery__order=order), quantity=1)


def test_more_than_was_ordered_is_refused_without_a_reason(order):
    row = DeliveryLine.objects.get()
    delivery = Delivery.objects.create(
        order=order, came_on=row.delivery.came_on, by=row.delivery.by, key="late"
    )
    with pytest.raises(DatabaseError), transaction.atomic():
        DeliveryLine.objects.create(
            delivery=delivery, line=row.line, quantity=9, pack_cost_net=1,
            movement=free_movement(),
        )  # fmt: skip


def free_movement():
    """A movement that belongs to no delivery."""
    from tests.factories.parts import PartFactory
    from tests.factories.stock import come_in

    return come_in(PartFactory.create(), 3)


@pytest.mark.parametrize("ended", ["cancelled", "draft"])
def test_nothing_comes_of_an_order_that_is_not_open(ended):
    by = UserFactory.create()
    order = close(ordered(), reason="twice", by=by) if ended == "cancelled" else drafted(sold())
    with pytest.raises(DatabaseError), transaction.atomic():
        Delivery.objects.create(order=order, came_on="2026-01-01", by=by, key="late")


@pytest.mark.parametrize("state", [State.ORDERED, State.PART_DELIVERED, State.CLOSED])
def test_what_somebody_ended_stays_ended(state):
    order = close(ordered(), reason="twice", by=UserFactory.create())
    closed_at = order.closed_at if state == State.CLOSED else None
    refused(PurchaseOrder.objects.filter(pk=order.pk), state=state, closed_at=closed_at)


def test_the_models_refuse_to_delete_what_was_sent(order):
    with pytest.raises(KeptOrderError):
        order.delete()
    with pytest.raises(ProtectedError):
        order.supplier.delete()


@pytest.mark.postgres  # SQLite empties tables by DELETE: there the models alone refuse it
@pytest.mark.parametrize("model", [DeliveryLine, Delivery, OrderDocument])
def test_the_database_refuses_to_delete_what_came_and_was_sent(order, model):
    with pytest.raises(DatabaseError), transaction.atomic():
        model.objects.all()._raw_delete(using="default")


@pytest.mark.postgres  # SQLite empties tables by DELETE: there the models alone refuse it
def test_the_database_refuses_to_delete_a_sent_orders_lines(order):
    with pytest.raises(DatabaseError), transaction.atomic(), connection.cursor() as cursor:
        cursor.execute("DELETE FROM purchasing_purchaseline")


def test_a_draft_may_be_changed_and_thrown_away():
    draft = drafted(sold())
    PurchaseOrder.objects.filter(pk=draft.pk).update(note="hurry")
    PurchaseLine.objects.filter(order=draft).update(packs=7)
    draft.refresh_from_db()
    draft.delete()
    assert not PurchaseLine.objects.exists()


def test_a_supplier_has_one_draft():
    draft = drafted(sold())
    draft.pk = None
    with pytest.raises(DatabaseError), transaction.atomic():
        draft.save(force_insert=True)
