"""Pages of stock: the list, a part, moving, fit, stocktakes and reports."""

import datetime as dt
import re
from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone

from inventory.parts.models import FitFacts, Part
from inventory.stock.checking import problems
from inventory.stock.models import (
    CostMethod,
    MovementKind,
    Reservation,
    StockLevel,
    StockMovement,
    Stocktake,
)
from inventory.stock.verbs.reserve import reserve
from tests.asking import (
    assert_mechanics_see_costs_once_allowed,
    assert_only_who_may_sees_costs,
    queries_of,
)
from tests.factories.bikes import BikeFactory
from tests.factories.parts import PartFactory
from tests.factories.people import UserFactory, sign_in
from tests.factories.shop import ShopFactory, vat_rates
from tests.factories.stock import come_in, stocked, take

pytestmark = pytest.mark.django_db
D = Decimal
LIST = reverse("stock:list")
REPORT = reverse("stock:report")


@pytest.fixture
def bench(client):
    sign_in(client)
    return client


@pytest.fixture
def manager(client):
    client.person = sign_in(client, manager=True)
    return client


def page_of(part):
    return reverse("stock:part", args=(part.pk,))


def move_of(part, kind):
    return reverse("stock:move", args=(part.pk, kind))


def listed(client, **query):
    return [row.record.code for row in client.get(LIST, query).context["table"].rows]


def text_of(response):
    return response.content.decode()


# the list


def test_the_list_shows_levels_and_what_is_short(bench):
    part = stocked(3, code="hub", name="Hub", minimum=4, place="A1")
    reserve(part, quantity=D(1), reference="Q1", by=UserFactory.create(), key="r")
    PartFactory.create(code="rim", name="Rim")
    text = text_of(bench.get(LIST))
    assert "short of 2" in text
    assert text.count("short of") == 1


@pytest.mark.parametrize("query", [{"q": "hu a1"}, {"place": "a1"}, {"short": "on"}])
def test_the_list_is_searched_and_narrowed(bench, query):
    PartFactory.create(code="hub", name="Hub", place="A1", minimum=1)
    stocked(1, code="rim", name="Rim", place="B2", minimum=1)
    assert listed(bench, **query) == ["hub"]


@pytest.mark.parametrize("scanned", ["6291041500213", "629-104-150-0213".replace("-", " "), "HUB"])
def test_a_scanned_code_leads_to_its_part(bench, scanned):
    part = PartFactory.create(code="hub", gtin="6291041500213")
    PartFactory.create(code="hub-front")
    assert bench.get(LIST, {"q": scanned})["Location"] == page_of(part)


def test_a_part_runs_as_many_queries_with_few_movements_as_with_many(manager):
    part = stocked(5)
    take(part, 1)
    few = queries_of(manager, page_of(part))
    for _ in range(10):
        take(come_in(part, 2).part, 1)
    assert queries_of(manager, page_of(part)) == few


# a part


def test_costs_are_shown_to_who_may_see_them():
    part = stocked(3, "4.13", cost_net=D("7.77"), markup=D(1), price_net=D(20))
    assert_only_who_may_sees_costs(page_of(part), "£12.39", "£7.77", "£15.54")
    assert_mechanics_see_costs_once_allowed(page_of(part), "£12.39", "£7.77")
    assert_only_who_may_sees_costs(LIST, "£12.39")
    assert_only_who_may_sees_costs(move_of(part, "goods-in"), "7.77")


def test_the_proposed_price_ends_as_wished_with_vat(manager):
    ShopFactory.create()
    vat_rates()
    part = PartFactory.create(cost_net=D(8), markup=D("0.6"), ending="ninety_nine")
    assert "£13.33 (£15.99 with VAT)" in text_of(manager.get(page_of(part)))


def test_a_part_tells_what_is_reserved_and_it_can_be_released(bench):
    part = stocked(3)
    kept = reserve(part, quantity=D(2), reference="Q0007", by=UserFactory.create(), key="r")
    assert "Q0007" in text_of(bench.get(page_of(part)))
    bench.post(reverse("stock:release", args=(kept.pk,)))
    assert StockLevel.objects.get(part=part).reserved == 0


# moving


def typed(client, url, **more):
    """Fill a form in as it is offered: its hidden key comes with it."""
    key = re.search(r'name="key" value="([^"]+)"', text_of(client.get(url)))[1]
    return {"key": key} | more


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
    form = typed(manager, move_of(part, kind), quantity="2", **more)
    for _ in range(2):
        assert manager.post(move_of(part, kind), form)["Location"] == page_of(part)
    assert StockLevel.objects.get(part=part).on_hand == there
    assert list(problems()) == []


def test_parts_come_back_from_the_draw_that_is_chosen(bench):
    part = stocked(5)
    drawn = take(part, 3, reference="B0007")
    form = typed(bench, move_of(part, "return"), quantity="1", drawn=drawn.pk)
    assert "B0007: 3 still out" in text_of(bench.get(move_of(part, "return")))
    bench.post(move_of(part, "return"), form)
    assert StockLevel.objects.get(part=part).on_hand == 3
    assert "B0007: 2 still out" in text_of(bench.get(move_of(part, "return")))


def test_a_draw_takes_from_what_is_reserved_for_it(bench):
    part = stocked(2)
    kept = reserve(part, quantity=D(2), reference="Q0007", by=UserFactory.create(), key="r")
    url = move_of(part, "draw")
    bench.post(url, typed(bench, url, quantity="1", reservation=kept.pk))
    assert Reservation.objects.get().left == 1
    assert StockMovement.objects.get(kind="draw").reference == "Q0007"


def test_too_many_are_refused_where_they_were_typed(bench):
    part = stocked(2, name="Inner tube")
    url = move_of(part, "draw")
    response = bench.post(url, typed(bench, url, quantity="3"))
    assert response.status_code == 422
    assert "Inner tube: only 2 pc on hand." in text_of(response)


def test_who_may_not_see_costs_books_goods_at_the_cost_of_the_part(bench):
    part = PartFactory.create(cost_net=D("4.25"))
    url = move_of(part, "goods-in")
    day = (timezone.localdate() - dt.timedelta(days=2)).isoformat()
    bench.post(url, typed(bench, url, quantity="2", on=day, unit_cost="99"))
    movement = StockMovement.objects.get()
    assert movement.value == D("8.50")
    assert timezone.localtime(movement.at).isoformat()[:16] == f"{day}T00:00"


def test_goods_do_not_come_tomorrow(bench):
    part = PartFactory.create()
    url = move_of(part, "goods-in")
    ahead = (timezone.localdate() + dt.timedelta(days=1)).isoformat()
    response = bench.post(url, typed(bench, url, quantity="1", on=ahead))
    assert "lies ahead" in text_of(response)


def test_a_kind_that_is_not_booked_here_is_not_found(bench):
    assert bench.get(move_of(PartFactory.create(), "gift")).status_code == 404


def test_a_movement_is_taken_back_with_a_reason(manager):
    part = stocked(5)
    drawn = take(part, 2)
    url = reverse("stock:take_back", args=(drawn.pk,))
    assert url in text_of(manager.get(page_of(part)))
    assert manager.post(url, typed(manager, url)).status_code == 422
    manager.post(url, typed(manager, url, reason="wrong bike"))
    assert StockLevel.objects.get(part=part).on_hand == 5
    assert url not in text_of(manager.get(page_of(part)))


# facts and fit


def facts(**more):
    return {"minimum": "0", "pack_size": "1", "ending": "none", "place": "", "gtin": ""} | more


def test_facts_are_saved_together_or_not_at_all(manager):
    part = PartFactory.create()
    url = reverse("stock:facts", args=(part.pk,))
    wrong = manager.post(url, facts(place="A1", **{"fit-bead_seat_mm": "400"}))
    assert wrong.status_code == 422
    assert "no rim diameter" in text_of(wrong)
    assert Part.objects.get().place == ""
    right = facts(place="A1", gtin="629104150021 3", markup="60", minimum="2,5")
    manager.post(url, right | {"fit-bead_seat_mm": "406", "fit-post_mm": "33,9"})
    part.refresh_from_db()
    assert (part.place, part.gtin, part.markup) == ("A1", "6291041500213", D("0.6"))
    assert part.minimum == D("2.5")
    assert (part.fit.bead_seat_mm, part.fit.post_mm) == (406, D("33.9"))
    assert 'value="60"' in text_of(manager.get(url))


def test_the_mark_up_is_left_alone_by_who_may_not_see_costs(client):
    sign_in(client, desk=True)
    part = PartFactory.create(markup=D("0.6"))
    url = reverse("stock:facts", args=(part.pk,))
    assert "Mark-up" not in text_of(client.get(url))
    client.post(url, facts(markup="5"))
    part.refresh_from_db()
    assert part.markup == D("0.6")


@pytest.mark.parametrize(
    ("query", "answer"),
    [
        ({"number": "{bike}"}, "Yes"),
        ({"bead_seat_mm": "349"}, "No"),
        ({"number": ""}, "Not known"),
        ({"number": "{bike}", "bead_seat_mm": "349"}, "No"),  # the tape measure is believed
    ],
)
def test_does_it_fit_this_bike(bench, query, answer):
    bike = BikeFactory.create(bead_seat_mm=406)
    part = PartFactory.create()
    FitFacts.objects.create(part=part, bead_seat_mm=406)
    asked = {name: value.replace("{bike}", bike.stock_no) for name, value in query.items()}
    text = text_of(bench.get(reverse("stock:fit", args=(part.pk,)), asked))
    assert f'<span class="big-number">{answer}</span>' in text


def test_a_bike_that_is_not_there_is_said_so(bench):
    part = PartFactory.create()
    FitFacts.objects.create(part=part, bead_seat_mm=406)
    response = bench.get(reverse("stock:fit", args=(part.pk,)), {"number": "B9999"})
    assert response.status_code == 422
    assert "There is no bike B9999" in text_of(response)


def test_a_part_without_sizes_asks_for_them(bench):
    response = bench.get(reverse("stock:fit", args=(PartFactory.create().pk,)))
    assert "Nothing is kept that tells what it fits" in text_of(response)


# stocktakes


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


# reports


def test_the_stock_is_worth_what_it_was_worth_at_a_past_day(manager):
    part = PartFactory.create()
    come_in(part, 10, "2.00", days=10)
    take(part, 4, days=5)
    for days, worth in ((11, D(0)), (7, D(20)), (0, D(12))):
        day = timezone.localdate() - dt.timedelta(days=days)
        response = manager.get(REPORT, {"day": day.isoformat(), "days": 180})
        assert response.context["total"] == worth


def test_dead_stock_neither_came_in_nor_was_drawn(manager):
    dead, alive, fresh = (PartFactory.create(name=name) for name in ("Dead", "Alive", "Fresh"))
    for part in (dead, alive):
        come_in(part, 5, days=300)
        take(part, 1, days=250)
    take(alive, 1, days=20)
    come_in(fresh, 5, days=20)
    shown = manager.get(REPORT, {"day": timezone.localdate().isoformat(), "days": 180})
    found = shown.context["dead"]
    assert [(level.part, (timezone.now() - last).days) for level, last in found.dearest] == [
        (dead, 250)
    ]
    assert found.value == 16


def test_what_is_used_most_leaves_out_what_came_back_and_costs_what_it_cost(manager):
    chain, tube = (stocked(9, "3.00", name=name) for name in ("Chain", "Tube"))
    take(tube, 2)
    drawn = take(chain, 5)
    from inventory.stock.verbs.give_back import give_back

    give_back(drawn, quantity=D(4), by=manager.person, key="b")
    used = manager.get(REPORT).context["used"]
    assert [(each.part, each.quantity, each.cost) for each in used] == [
        (tube, 2, 6),
        (chain, 1, 3),
    ]
    assert used[0].margin == 10


def test_a_report_for_no_day_says_so(manager):
    assert manager.get(REPORT, {"day": "soon", "days": "0"}).status_code == 422


def test_the_method_is_chosen_by_the_manager(manager):
    part = PartFactory.create()
    come_in(part, 1, 1, days=3)
    come_in(part, 1, 3, days=2)
    take(part, 1)
    manager.post(reverse("stock:method"), {"method": CostMethod.FIFO})
    assert StockLevel.objects.get(part=part).value == 3
    assert "first in, first out" in text_of(manager.get(REPORT))
    assert manager.post(reverse("stock:method"), {"method": "dice"}).status_code == 422
