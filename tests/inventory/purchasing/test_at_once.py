"""Two people at once: an order is placed once, numbered without a gap, and booked in as it came."""

from concurrent.futures import ThreadPoolExecutor
from threading import Barrier

import pytest
from django.db import connection

from inventory.purchasing.errors import OverDeliveryError, PurchaseError
from inventory.purchasing.models import Delivery, OrderDocument, PurchaseOrder, State
from inventory.purchasing.offers import offer_of
from inventory.purchasing.verbs.add_article import add_article
from inventory.purchasing.verbs.close import close
from inventory.purchasing.verbs.make_drafts import Pick, make_drafts
from inventory.purchasing.verbs.place import place
from inventory.stock.checking import problems
from inventory.stock.models import StockLevel
from tests.factories.parts import PartFactory
from tests.factories.people import UserFactory
from tests.factories.purchasing import came, drafted, ordered, sold
from tests.factories.shop import ShopFactory
from tests.factories.suppliers import SupplierFactory

pytestmark = pytest.mark.django_db(transaction=True)
AT_ONCE = 4


@pytest.fixture(autouse=True)
def _printed_quickly(monkeypatch):
    monkeypatch.setattr("inventory.paper.press.pdf_of", lambda html: b"%PDF")


def together(jobs):
    """Start jobs at the same moment, each with a connection of its own; return what each gave."""
    start = Barrier(len(jobs))

    def run(job):
        try:
            start.wait()
            return job()
        except PurchaseError as error:
            return error
        finally:
            connection.close()

    with ThreadPoolExecutor(len(jobs)) as pool:
        return list(pool.map(run, jobs))


def refused(done):
    return [each for each in done if isinstance(each, PurchaseError)]


def test_an_order_placed_by_several_people_is_placed_once():
    shop, by, draft = ShopFactory.create(), UserFactory.create(), drafted(sold())
    done = together([lambda: place(draft, by=by, shop=shop)] * AT_ONCE)
    assert {each.number for each in done} == {"P0001"}
    assert OrderDocument.objects.count() == 1


def test_orders_placed_at_once_are_numbered_without_a_gap():
    shop, by = ShopFactory.create(), UserFactory.create()
    drafts = [drafted(sold(), by=by) for _ in range(AT_ONCE)]
    together([lambda each=each: place(each, by=by, shop=shop) for each in drafts])
    numbers = PurchaseOrder.objects.values_list("number", flat=True)
    assert sorted(numbers) == ["P0001", "P0002", "P0003", "P0004"]


def test_what_several_people_draft_for_a_supplier_stands_in_one_draft():
    by, supplier = UserFactory.create(), SupplierFactory.create()
    picks = [
        Pick(each.part, offer_of(each), 1) for each in [sold(supplier=supplier) for _ in "abcd"]
    ]
    together([lambda p=p: make_drafts([p], by=by, key=f"k{p.part.pk}") for p in picks])
    assert PurchaseOrder.objects.get().lines.count() == AT_ONCE


def test_the_same_list_sent_several_times_is_drafted_once():
    by, article = UserFactory.create(), sold()
    pick = Pick(article.part, offer_of(article), 1)
    together([lambda: make_drafts([pick], by=by, key="double")] * AT_ONCE)
    assert PurchaseOrder.objects.get().lines.count() == 1


def test_an_article_added_several_times_from_one_form_is_added_once():
    draft = drafted(sold())
    more = sold(supplier=draft.supplier)
    done = together([lambda: add_article(draft, more, packs=1, key="double")] * AT_ONCE)
    assert len({each.pk for each in done}) == 1
    assert draft.lines.count() == 2


def test_the_same_parcel_booked_by_several_people_is_there_once():
    by, part = UserFactory.create(), PartFactory.create()
    order = ordered(sold(part), packs=5, by=by)
    done = together([lambda: came(order, 5, by=by, key="parcel")] * AT_ONCE)
    assert len({each.pk for each in done}) == 1
    assert StockLevel.objects.get(part=part).on_hand == 5
    assert list(problems()) == []


def test_more_than_was_ordered_is_not_booked_by_several_people_together():
    by, part = UserFactory.create(), PartFactory.create()
    order = ordered(sold(part), packs=5, by=by)
    done = together([lambda: came(order, 3, by=by)] * AT_ONCE)
    assert [type(each) for each in refused(done)] == [OverDeliveryError] * 3
    assert StockLevel.objects.get(part=part).on_hand == 3
    assert PurchaseOrder.objects.get().state == State.PART_DELIVERED


def test_parcels_of_two_orders_with_the_same_parts_do_not_wait_for_each_other_in_a_ring():
    by = UserFactory.create()
    parts = [PartFactory.create() for _ in range(3)]
    one, two = SupplierFactory.create_batch(2)
    forwards = ordered(*[sold(part, supplier=one) for part in parts], packs=9, by=by)
    backwards = ordered(*[sold(part, supplier=two) for part in reversed(parts)], packs=9, by=by)
    jobs = [lambda o=o: came(o, 1, 1, 1, by=by) for o in (forwards, backwards) * AT_ONCE]
    assert refused(together(jobs)) == []
    assert {level.on_hand for level in StockLevel.objects.all()} == {2 * AT_ONCE}
    assert list(problems()) == []


def test_goods_come_in_or_the_order_is_cancelled_never_both():
    by, part = UserFactory.create(), PartFactory.create()
    order = ordered(sold(part), packs=2, by=by)
    together([lambda: came(order, 2, by=by), lambda: close(order, reason="late", by=by)])
    state = PurchaseOrder.objects.get().state
    assert state == (State.CLOSED if Delivery.objects.exists() else State.CANCELLED)
    assert StockLevel.objects.filter(part=part, on_hand=2).exists() == (state == State.CLOSED)
