"""Pages of a draft: changed, added to, thrown away, ordered."""

from decimal import Decimal

import pytest
from django.urls import reverse

from inventory.purchasing.models import PurchaseOrder
from tests.asking import key_on, text_of
from tests.factories.purchasing import drafted, ordered, sold
from tests.inventory.purchasing.addresses import LIST, url

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shop", "printed_quickly")]
D = Decimal


# drafts


def test_a_draft_is_changed_by_the_desk_at_the_prices_it_has(desk):
    draft = drafted(sold(price="3.33"))
    line = draft.lines.get()
    change = url("change", draft)
    fields = {f"packs-{line.pk}": "9", f"price-{line.pk}": "0.01", "note": "Hurry"}
    assert desk.post(change, fields)["Location"] == url("order", draft)
    line.refresh_from_db()
    assert (line.packs, line.pack_cost_net) == (9, D("3.33"))
    assert "Hurry" in text_of(desk.get(url("order", draft)))


def test_the_manager_changes_prices_too_to_a_fraction_of_a_penny(manager):
    draft = drafted(sold(price="3.33"))
    line = draft.lines.get()
    fields = {f"packs-{line.pk}": "1", f"price-{line.pk}": "£3.345"}
    manager.post(url("change", draft), fields)
    line.refresh_from_db()
    assert line.pack_cost_net == D("3.345")
    answer = manager.post(url("change", draft), fields | {f"price-{line.pk}": "much"})
    assert answer.status_code == 422


def test_an_article_is_found_and_added_once(desk):
    draft = drafted(sold())
    more = sold(supplier=draft.supplier, name="Bar tape", code="BT-1")
    page = url("add", draft)
    text = text_of(desk.get(page, {"q": "tape bt-1"})) + text_of(desk.get(page, {"q": "bt-1"}))
    assert "Bar tape" in text
    fields = {"key": f"{key_on(desk, page)}", "article": more.pk, "packs": "3"}
    for _ in range(2):
        assert desk.post(page, fields)["Location"] == url("order", draft)
    assert draft.lines.count() == 2
    answer = desk.post(page, fields | {"key": "another"})
    assert answer.status_code == 422
    assert "stands in this draft already" in text_of(answer)
    assert "stands in it" in text_of(desk.get(page))


@pytest.mark.parametrize("packs", ["0", "", "99999"])
def test_packs_that_cannot_be_are_not_added(desk, packs):
    draft = drafted(sold())
    more = sold(supplier=draft.supplier)
    answer = desk.post(url("add", draft), {"key": "k", "article": more.pk, "packs": packs})
    assert answer.status_code == 422
    assert draft.lines.count() == 1


def test_a_draft_is_thrown_away_and_what_was_ordered_is_not(desk):
    draft, order = drafted(sold()), ordered()
    assert desk.post(url("discard", draft))["Location"] == LIST
    assert desk.post(url("discard", order))["Location"] == url("order", order)
    assert list(PurchaseOrder.objects.all()) == [order]


@pytest.mark.parametrize("page", ["change", "add"])
def test_what_was_ordered_is_shown_rather_than_changed(desk, page):
    order = ordered()
    assert desk.get(url(page, order))["Location"] == url("order", order)


# ordering


def test_the_manager_orders_and_the_paper_is_kept(manager):
    draft = drafted(sold())
    assert manager.get(url("pdf", draft)).status_code == 404
    assert manager.post(url("place", draft))["Location"] == url("order", draft)
    draft.refresh_from_db()
    assert (draft.number, draft.ordered_by) == ("P0001", manager.person)
    answer = manager.get(url("pdf", draft))
    assert answer["Content-Type"] == "application/pdf"
    assert answer.content == bytes(draft.document.pdf)
    assert "P0001.pdf" in answer["Content-Disposition"]
    file = manager.get(url("csv", draft))
    assert "P0001.csv" in file["Content-Disposition"]
    assert "P0001" in text_of(file)


def test_an_empty_draft_is_not_ordered_and_it_is_said(manager):
    draft = drafted(sold())
    draft.lines.all().delete()
    answer = manager.post(url("place", draft), follow=True)
    assert "Nothing stands in this draft" in text_of(answer)
    draft.refresh_from_db()
    assert draft.is_draft


def test_the_desk_does_not_order_and_is_not_offered_it(desk):
    draft = drafted(sold())
    assert url("place", draft) not in text_of(desk.get(url("order", draft)))
    assert desk.post(url("place", draft)).status_code == 403


def test_pages_of_an_order_that_is_not_there_are_not_found(manager):
    for name in ("order", "change", "add", "goods_in", "end", "pdf", "csv"):
        assert manager.get(reverse(f"purchasing:{name}", args=(999,))).status_code == 404
