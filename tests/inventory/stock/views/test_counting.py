"""Stocktakes: counted blindly by place, approved while the shop goes on."""

import re
from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone

from inventory.stock.checking import problems
from inventory.stock.models import (
    MovementKind,
    StockLevel,
    StockMovement,
    Stocktake,
)
from inventory.stock.verbs.approve_stocktake import approve_stocktake
from inventory.stock.verbs.note_count import note_count
from inventory.stock.verbs.reserve import reserve
from tests.asking import text_of
from tests.factories.people import UserFactory, sign_in
from tests.factories.stock import stocked, take

pytestmark = pytest.mark.django_db
D = Decimal


def test_a_place_is_counted_blindly_and_approved_while_the_shop_goes_on(client):
    counter = UserFactory.create()
    hub, rim = stocked(7, place="A1", name="Hub"), stocked(4, place="A1", name="Rim")
    client.force_login(counter)
    client.post(reverse("stock:stocktake_start"), {"place": "A1"})
    taking = Stocktake.objects.get()
    page = reverse("stock:stocktake", args=(taking.pk,))
    text = text_of(client.get(page))
    assert "Hub" in text
    assert "Rim" in text
    assert not re.search(r">\s*[74]\s", text)
    client.post(page, {"part": hub.pk, "counted": "6"})
    client.post(page, {"part": rim.pk, "counted": "4"})
    take(hub, 2)  # the shop goes on
    sign_in(client, manager=True)
    differ = reverse("stock:differences", args=(taking.pk,))
    shown = client.get(differ)
    assert [each.quantity for each in shown.context["differing"]] == [-1]
    assert shown.context["agreeing"] == 1
    client.post(differ)
    client.post(differ)
    assert StockLevel.objects.get(part=hub).on_hand == 4
    assert StockMovement.objects.filter(kind=MovementKind.COUNT).count() == 1
    taking.refresh_from_db()
    assert taking.closed_at
    assert list(problems()) == []


def test_a_count_that_cannot_be_booked_leaves_the_stocktake_open(manager):
    hub, rim = stocked(3, place="A1"), stocked(3, place="A1", name="Rim tape")
    taking = Stocktake.objects.create(place="A1", started_by=manager.person)
    page = reverse("stock:stocktake", args=(taking.pk,))
    manager.post(page, {"part": hub.pk, "counted": "2"})
    manager.post(page, {"part": rim.pk, "counted": "0"})
    reserve(rim, quantity=D(1), reference="Q0007", by=manager.person, key="r")
    response = manager.post(reverse("stock:differences", args=(taking.pk,)))
    assert "Rim tape: only 3 pc on hand, 1 of them reserved for Q0007." in text_of(response)
    assert StockLevel.objects.get(part=hub).on_hand == 3
    taking.refresh_from_db()
    assert taking.closed_at is None


def test_a_part_found_at_another_place_is_counted_where_it_was_found(bench):
    stocked(1, place="A1")
    lost = stocked(2, place="B2", code="lost", name="Lost hub")
    bench.post(reverse("stock:stocktake_start"), {"place": "A1"})
    page = reverse("stock:stocktake", args=(Stocktake.objects.get().pk,))
    assert "Lost hub" not in text_of(bench.get(page))
    assert "its place is B2" in text_of(bench.get(page, {"q": "lost"}))
    bench.post(page, {"part": lost.pk, "counted": "2"})
    assert "Lost hub" in text_of(bench.get(page))
    assert "No part has this code" in text_of(bench.get(page, {"q": "nobody"}))


def test_a_count_that_is_no_number_is_said_at_its_part(bench):
    part = stocked(1, place="A1")
    bench.post(reverse("stock:stocktake_start"), {"place": "A1"})
    page = reverse("stock:stocktake", args=(Stocktake.objects.get().pk,))
    response = bench.post(page, {"part": part.pk, "counted": "some"})
    assert response.status_code == 422
    assert "is not a number" in text_of(response)


def test_a_place_has_one_open_stocktake(bench):
    stocked(1, place="A1")
    for place in ("A1", "A1", "nowhere", ""):
        bench.post(reverse("stock:stocktake_start"), {"place": place})
    assert Stocktake.objects.count() == 1


def test_a_closed_stocktake_takes_no_count(manager):
    part = stocked(1, place="A1")
    taking = Stocktake.objects.create(
        place="A1", started_by=manager.person, closed_at=timezone.now(), closed_by=manager.person
    )
    page = reverse("stock:stocktake", args=(taking.pk,))
    response = manager.post(page, {"part": part.pk, "counted": "1"})
    assert response.status_code == 422
    assert not taking.counts.exists()


def test_a_stocktake_stays_as_it_was_approved_first(manager):
    part = stocked(3, place="A1")
    taking = Stocktake.objects.create(place="A1", started_by=manager.person)
    note_count(taking, part, counted=D(2), by=manager.person)
    assert len(approve_stocktake(taking, by=manager.person)) == 1
    taking.refresh_from_db()
    assert approve_stocktake(taking, by=UserFactory.create(manager=True)) == []
    fresh = Stocktake.objects.get()
    assert (fresh.closed_by, fresh.closed_at) == (manager.person, taking.closed_at)
