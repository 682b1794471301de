"""The page of what is short: what it tells, and how it becomes drafts."""

import datetime as dt
from decimal import Decimal

import pytest
from django.utils import timezone

from inventory.purchasing.models import (
    PurchaseLine,
    PurchaseOrder,
)
from inventory.stock.wants import Want
from tests.asking import (
    key_on,
    text_of,
)
from tests.factories.parts import PartFactory
from tests.factories.people import sign_in
from tests.factories.purchasing import sold
from tests.factories.suppliers import SupplierFactory
from tests.inventory.purchasing.addresses import LIST, SHORT, url

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shop", "printed_quickly")]
D = Decimal


def ticked(client, *parts, **more):
    """What the list of what is short sends with these parts ticked, packs as proposed."""
    fields = {"key": key_on(client, SHORT), "do": "make"}
    form = client.get(SHORT).context["form"]
    for part in parts:
        for name in ("offer", "packs"):
            fields[f"{name}-{part.pk}"] = form.fields[f"{name}-{part.pk}"].initial
        fields[f"tick-{part.pk}"] = "on"
    return fields | more


def test_the_desk_puts_what_is_short_into_a_draft_once_though_it_is_sent_twice(desk):
    part = PartFactory.create(minimum=7)
    sold(part, pack=5)
    fields = ticked(desk, part)
    for _ in range(2):
        answer = desk.post(SHORT, fields)
        draft = PurchaseOrder.objects.get()
        assert answer["Location"] == url("order", draft)
    assert draft.lines.get().packs == 2
    text = text_of(desk.get(SHORT))
    assert "10 in a draft" in text


def test_several_suppliers_get_a_draft_each_and_the_drafts_are_shown(desk):
    one, two = (PartFactory.create(minimum=1) for _ in "ab")
    sold(one), sold(two)
    answer = desk.post(SHORT, ticked(desk, one, two))
    assert answer["Location"] == f"{LIST}?state=draft"
    assert PurchaseOrder.objects.count() == 2


def test_another_offer_is_reckoned_anew_before_it_is_taken(desk):
    part = PartFactory.create(minimum=7)
    sold(part, "1.00", pack=1)
    other = sold(part, "9.00", pack=5)
    fields = ticked(desk, part) | {f"offer-{part.pk}": f"a{other.pk}", "do": "reckon"}
    answer = desk.post(SHORT, fields)
    assert answer.status_code == 200
    assert not PurchaseOrder.objects.exists()
    assert answer.context["form"][f"packs-{part.pk}"].value() == "2"
    assert str(other.supplier) in text_of(answer)


def test_what_no_supplier_sells_wants_one_chosen(desk):
    part = PartFactory.create(minimum=1, name="Odd washer")
    supplier = SupplierFactory.create()
    answer = desk.post(SHORT, ticked(desk, part))
    assert answer.status_code == 422
    assert "Choose who to buy Odd washer from" in text_of(answer)
    desk.post(SHORT, ticked(desk, part, **{f"offer-{part.pk}": f"s{supplier.pk}"}))
    assert PurchaseLine.objects.get().order.supplier == supplier


@pytest.mark.parametrize(
    ("packs", "words"),
    [("", "Write how many packs"), ("-1", "greater than"), ("x", "whole number")],
)
def test_packs_that_cannot_be_are_refused_beside_the_part(desk, packs, words):
    part = PartFactory.create(minimum=1)
    sold(part)
    answer = desk.post(SHORT, ticked(desk, part, **{f"packs-{part.pk}": packs}))
    assert answer.status_code == 422
    assert words in text_of(answer)
    assert not PurchaseOrder.objects.exists()


def test_nothing_ticked_is_said(desk):
    sold(PartFactory.create(minimum=1))
    answer = desk.post(SHORT, ticked(desk))
    assert answer.status_code == 422
    assert "Tick what is to be ordered" in text_of(answer)


def test_names_that_no_form_has_are_let_be(desk):
    sold(PartFactory.create(minimum=1))
    fields = ticked(desk, **{"offer-": "a1", "offer-x": "a1", f"offer-{'9' * 40}": "a1"})
    assert desk.post(SHORT, fields).status_code == 422


def test_the_list_tells_who_waits_and_until_when(desk, waited_for):
    part = PartFactory.create(unit="pc")
    sold(part, supplier=SupplierFactory.create(lead_days=30))
    soon = timezone.localdate() + dt.timedelta(days=2)
    waited_for[:] = [Want(part.pk, D(2), "J0007 B0001: Fit <it>", soon, "/card/7/")]
    text = text_of(desk.get(SHORT))
    assert '2 pc for <a href="/card/7/">J0007 B0001: Fit &lt;it&gt;</a>, promised for' in text
    assert "2 waited for" in text
    assert "comes too late" in text


def test_the_accountant_reads_the_list_without_a_field(client):
    sign_in(client, accountant=True)
    sold(PartFactory.create(minimum=3), "12.34")
    text = text_of(client.get(SHORT))
    assert "£37.02" in text
    assert "Put into drafts" not in text
    assert "<select" not in text
    assert client.post(SHORT, {}).status_code == 403


def test_nothing_short_is_said(desk):
    assert "Nothing is short" in text_of(desk.get(SHORT))
