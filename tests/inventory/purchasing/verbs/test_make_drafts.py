"""Drafts made of what is picked: one for each supplier, once, added to where one stands."""

from decimal import Decimal

import pytest

from inventory.purchasing.errors import PurchaseError
from inventory.purchasing.models import (
    PurchaseLine,
    PurchaseOrder,
    State,
)
from inventory.purchasing.offers import guessed, offer_of
from inventory.purchasing.selectors import total_net
from inventory.purchasing.verbs.make_drafts import Pick, make_drafts
from tests.factories.parts import PartFactory
from tests.factories.purchasing import drafted, sold
from tests.factories.suppliers import SupplierFactory

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("printed_quickly", "proven_ledger")]
D = Decimal


def pick(article, packs=1):
    return Pick(article.part, offer_of(article), packs)


def test_picks_become_a_draft_for_each_supplier(by):
    one, two = SupplierFactory.create_batch(2)
    picks = [pick(sold(supplier=each)) for each in (one, two, one)]
    made = make_drafts(picks, by=by, key="k")
    assert [(each.supplier, each.lines.count()) for each in made] == [(one, 2), (two, 1)]
    assert {each.state for each in made} == {State.DRAFT}


def test_the_same_picks_sent_twice_are_drafted_once(by):
    picks = [pick(sold()), pick(sold())]
    assert make_drafts(picks, by=by, key="k") == make_drafts(picks, by=by, key="k")
    assert PurchaseLine.objects.count() == 2


def test_a_suppliers_draft_is_added_to(by):
    first = sold()
    draft = drafted(first)
    (made,) = make_drafts([pick(sold(supplier=first.supplier))], by=by, key="k")
    assert made == draft
    assert draft.lines.count() == 2


def test_nothing_and_no_packs_are_refused(by):
    with pytest.raises(PurchaseError, match="Nothing is ticked"):
        make_drafts([], by=by, key="k")
    with pytest.raises(PurchaseError, match="0 packs can't be ordered"):
        make_drafts([pick(sold(), 0)], by=by, key="k")
    assert not PurchaseOrder.objects.exists()


def test_a_part_in_no_price_list_is_drafted_at_its_own_cost(by):
    part = PartFactory.create(cost_net=D("1.25"), pack_size=10)
    home, abroad = SupplierFactory.create(), SupplierFactory.create(currency="EUR")
    assert guessed(part, home, "GBP").pack_cost_net == D("12.50")
    assert guessed(part, abroad, "GBP").pack_cost_net == 0
    (made,) = make_drafts([Pick(part, guessed(part, home, "GBP"), 2)], by=by, key="k")
    assert total_net(made) == 25
