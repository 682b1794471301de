"""Forms that move stock: goods in, drawn, given back, scrapped, stripped, reserved, taken back."""

import datetime as dt
from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone

from inventory.stock.checking import problems
from inventory.stock.models import (
    Reservation,
    StockLevel,
    StockMovement,
)
from inventory.stock.verbs.reserve import reserve
from tests.asking import (
    filled_in,
    text_of,
)
from tests.factories.parts import PartFactory
from tests.factories.people import UserFactory
from tests.factories.stock import stocked, take
from tests.inventory.stock.addresses import move_of, page_of

pytestmark = pytest.mark.django_db
D = Decimal


@pytest.mark.parametrize(
    ("kind", "more", "there"),
    [
        ("goods-in", {"unit_cost": "3,50", "on": timezone.localdate().isoformat()}, 7),
        ("draw", {"reference": "B0001"}, 3),
        ("scrap", {"reason": "cracked"}, 3),
        ("strip", {"donor": "B0002", "grade": "good", "cost_share": "5"}, 7),
        ("reserve", {"reference": "Q1"}, 5),
    ],
)
def test_each_form_books_its_movement_once_though_sent_twice(manager, kind, more, there):
    part = stocked(5)
    form = filled_in(manager, move_of(part, kind), quantity="2", **more)
    for _ in range(2):
        assert manager.post(move_of(part, kind), form)["Location"] == page_of(part)
    assert StockLevel.objects.get(part=part).on_hand == there
    assert list(problems()) == []


def test_parts_come_back_from_the_draw_that_is_chosen(bench):
    part = stocked(5)
    drawn = take(part, 3, reference="B0007")
    form = filled_in(bench, move_of(part, "return"), quantity="1", drawn=drawn.pk)
    assert "B0007: 3 still out" in text_of(bench.get(move_of(part, "return")))
    bench.post(move_of(part, "return"), form)
    assert StockLevel.objects.get(part=part).on_hand == 3
    assert "B0007: 2 still out" in text_of(bench.get(move_of(part, "return")))


def test_a_draw_takes_from_what_is_reserved_for_it(bench):
    part = stocked(2)
    kept = reserve(part, quantity=D(2), reference="Q0007", by=UserFactory.create(), key="r")
    url = move_of(part, "draw")
    bench.post(url, filled_in(bench, url, quantity="1", reservation=kept.pk))
    assert Reservation.objects.get().left == 1
    assert StockMovement.objects.get(kind="draw").reference == "Q0007"


def test_too_many_are_refused_where_they_were_filled_in(bench):
    part = stocked(2, name="Inner tube")
    url = move_of(part, "draw")
    response = bench.post(url, filled_in(bench, url, quantity="3"))
    assert response.status_code == 422
    assert "Inner tube: only 2 pc on hand." in text_of(response)


def test_who_may_not_see_costs_books_goods_at_the_cost_of_the_part(bench):
    part = PartFactory.create(cost_net=D("4.25"))
    url = move_of(part, "goods-in")
    day = (timezone.localdate() - dt.timedelta(days=2)).isoformat()
    bench.post(url, filled_in(bench, url, quantity="2", on=day, unit_cost="99"))
    movement = StockMovement.objects.get()
    assert movement.value == D("8.50")
    assert timezone.localtime(movement.at).isoformat()[:16] == f"{day}T00:00"


def test_goods_do_not_come_tomorrow(bench):
    part = PartFactory.create()
    url = move_of(part, "goods-in")
    ahead = (timezone.localdate() + dt.timedelta(days=1)).isoformat()
    response = bench.post(url, filled_in(bench, url, quantity="1", on=ahead))
    assert "lies ahead" in text_of(response)


def test_a_kind_that_is_not_booked_here_is_not_found(bench):
    assert bench.get(move_of(PartFactory.create(), "gift")).status_code == 404


def test_a_movement_is_taken_back_with_a_reason(manager):
    part = stocked(5)
    drawn = take(part, 2)
    url = reverse("stock:take_back", args=(drawn.pk,))
    assert url in text_of(manager.get(page_of(part)))
    assert manager.post(url, filled_in(manager, url)).status_code == 422
    manager.post(url, filled_in(manager, url, reason="wrong bike"))
    assert StockLevel.objects.get(part=part).on_hand == 5
    assert url not in text_of(manager.get(page_of(part)))
