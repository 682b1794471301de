"""A draft changed, added to and thrown away, as long as it is one."""

from decimal import Decimal

import pytest
from django.utils import timezone

from inventory.purchasing.errors import PurchaseError
from inventory.purchasing.models import PurchaseOrder
from inventory.purchasing.selectors import lines_of
from inventory.purchasing.verbs.add_article import add_article
from inventory.purchasing.verbs.change_draft import LineChange, change_draft
from inventory.purchasing.verbs.discard import discard
from tests.factories.purchasing import drafted, ordered, sold

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("printed_quickly", "proven_ledger")]
D = Decimal


# drafts


def test_a_draft_is_changed_and_a_line_with_no_packs_taken_out():
    first = sold(price="3.335")
    draft = drafted(first, sold(supplier=first.supplier))
    keep, drop = lines_of(draft)
    change_draft(
        draft, [LineChange(keep, 3, D("3.335")), LineChange(drop, 0)], note=" Please hurry. "
    )
    draft.refresh_from_db()
    assert draft.note == "Please hurry."
    assert [(x.packs, x.amount_net) for x in lines_of(draft)] == [(3, D("10.01"))]  # half up
    with pytest.raises(PurchaseError, match="no longer stands"):
        change_draft(draft, [LineChange(drop, 1)], note="")
    with pytest.raises(PurchaseError, match="packs from 0"):
        change_draft(draft, [LineChange(keep, -1)], note="")


def test_an_article_is_added_once():
    first = sold()
    draft, more = drafted(first), sold(supplier=first.supplier)
    assert add_article(draft, more, packs=4, key="k") == add_article(draft, more, packs=4, key="k")
    assert draft.lines.count() == 2


def test_only_what_the_supplier_sells_and_we_know_is_added():
    draft = drafted(sold())
    with pytest.raises(PurchaseError, match="does not sell"):
        add_article(draft, sold(), packs=1, key="k")
    unmatched = sold(supplier=draft.supplier)
    unmatched.part = None
    with pytest.raises(PurchaseError, match="not matched"):
        add_article(draft, unmatched, packs=1, key="k")


def test_an_article_whose_price_no_longer_holds_is_not_added():
    draft = drafted(sold())
    former = sold(supplier=draft.supplier)
    former.valid_until = timezone.localdate()
    with pytest.raises(PurchaseError, match="at this price"):
        add_article(draft, former, packs=1, key="k")


def test_a_draft_is_thrown_away():
    draft = drafted(sold())
    discard(draft)
    assert not PurchaseOrder.objects.exists()


# ordered


def test_what_was_ordered_is_not_changed_nor_thrown_away():
    order = ordered()
    for verb in (
        lambda: change_draft(order, [], note="x"),
        lambda: discard(order),
        lambda: add_article(order, sold(supplier=order.supplier), packs=1, key="k"),
    ):
        with pytest.raises(PurchaseError, match="P0001 has been ordered"):
            verb()
