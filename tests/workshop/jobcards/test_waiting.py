"""What job cards wait for, and how they are told of parts that come in."""

import datetime as dt
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from inventory.purchasing.shortage import shortages
from inventory.stock.models import Reservation, StockLevel
from inventory.stock.wants import wants_of
from tests.asking import queries_of
from tests.factories import jobcards as made
from tests.factories.parts import PartFactory
from tests.factories.people import UserFactory, sign_in
from tests.factories.purchasing import came, ordered, sold
from tests.factories.shop import ShopFactory
from tests.factories.stock import come_in, stocked
from workshop.jobcards.models import Task, TaskPart
from workshop.jobcards.verbs.parts import draw_part
from workshop.jobcards.verbs.set_aside_come_in import set_aside_come_in

pytestmark = pytest.mark.django_db
D = Decimal
FRIDAY = dt.date(2026, 12, 4)


@pytest.fixture
def cones(db):
    return PartFactory.create(code="cones", name="Cones", unit="pc")


def waiting(part, wanted, *, promised_on=None, code="hub"):
    """A card that wants so many of a part."""
    made.operation(code)
    return made.a_card(made.asked(code, parts=((code, part, wanted),)), promised_on=promised_on)


def told(card):
    """What the card was told of parts that came in."""
    events = card.events.filter(key__startswith="came:").order_by("pk")
    return list(events.values_list("words", flat=True))


def test_a_card_waits_for_what_is_neither_drawn_nor_set_aside():
    part = stocked(3, code="cones")
    card = waiting(part, 5, promised_on=FRIDAY)
    (want,) = wants_of([part.pk])[part.pk]
    assert (want.quantity, want.promised_on) == (2, FRIDAY)
    assert want.reference.startswith(f"{card.number} {card.bike.stock_no}")
    assert want.url == reverse("jobcards:card", args=(card.pk,))
    draw_part(made.row_of(card, "cones"), quantity=D(3), by=UserFactory.create(), key="d")
    assert [each.quantity for each in wants_of()[part.pk]] == [2]


def test_a_card_whose_parts_are_all_there_waits_for_nothing(card):
    assert wants_of() == {}


@pytest.mark.parametrize("state", ["done", "dropped"])
def test_a_task_that_is_done_or_not_wanted_waits_for_nothing(cones, state):
    card = waiting(cones, 2)
    person = UserFactory.create() if state == "done" else None
    at = dt.datetime(2026, 1, 1, tzinfo=dt.UTC) if person else None
    Task.objects.filter(card=card, code="hub", kind="work").update(
        state=state, done_by=person, done_at=at
    )
    assert wants_of() == {}


def test_what_a_card_waits_for_is_short_with_the_card_and_its_day(cones):
    ShopFactory.create()
    sold(cones, pack=2)
    card = waiting(cones, 3, promised_on=FRIDAY)
    ((row,),) = [group.rows for group in shortages("GBP")]
    assert (row.short_of, row.waited_for, row.packs) == (3, 3, 2)
    assert row.needed_on == FRIDAY
    assert card.number in row.waiting[0].reference


def test_a_part_out_of_use_that_a_card_waits_for_is_short_all_the_same(cones):
    waiting(cones, 1)
    cones.active = False
    cones.save()
    assert [row.part for group in shortages("GBP") for row in group.rows] == [cones]


def test_what_comes_in_is_set_aside_for_the_card_and_the_card_is_told(
    cones, django_capture_on_commit_callbacks
):
    card = waiting(cones, 3)
    order = ordered(sold(cones, pack=5), packs=1)
    with django_capture_on_commit_callbacks(execute=True):
        came(order, 5)
    assert made.row_of(card, "cones").reserved == 3
    assert told(card) == ["set aside 3 pc that came in: Cones"]
    assert wants_of() == {}
    level = StockLevel.objects.get(part=cones)
    assert (level.on_hand, level.reserved) == (5, 3)


def test_what_is_promised_first_gets_what_comes_first(cones, django_capture_on_commit_callbacks):
    open_end = waiting(cones, 2, code="rim")
    late = waiting(cones, 2, promised_on=FRIDAY, code="hub")
    early = waiting(cones, 2, promised_on=FRIDAY - dt.timedelta(days=2), code="fork")
    with django_capture_on_commit_callbacks(execute=True):
        come_in(cones, 3)
    kept = [made.row_of(each, "cones").reserved for each in (early, late, open_end)]
    assert kept == [2, 1, 0]
    assert (len(told(early)), len(told(late)), told(open_end)) == (1, 1, [])


def test_the_same_goods_are_told_once(cones):
    card = waiting(cones, 3)
    movement = come_in(cones, 1)
    assert set_aside_come_in(card, movement) == 1
    assert set_aside_come_in(card, movement) == 0
    assert told(card) == ["set aside 1 pc that came in: Cones"]


def test_other_parts_of_the_card_stay_as_they_are(cones, django_capture_on_commit_callbacks):
    nuts = stocked(1, code="nuts", name="Nuts")
    made.operation("hub")
    card = made.a_card(made.asked("hub", parts=(("hub", cones, 2), ("hub", nuts, 4))))
    kept = made.row_of(card, "nuts").reservation_id
    with django_capture_on_commit_callbacks(execute=True):
        come_in(cones, 2)
    assert made.row_of(card, "nuts").reservation_id == kept
    assert Reservation.objects.filter(part=nuts).count() == 1


def test_a_card_that_is_being_checked_is_left_alone(cones, finish, ada):
    card = waiting(cones, 2)
    finish(card, ada)
    assert set_aside_come_in(card, come_in(cones, 2)) == 0
    assert TaskPart.objects.get().reserved == 0


def test_the_first_page_tells_the_bench_and_nobody_else(
    client, cones, django_capture_on_commit_callbacks
):
    ShopFactory.create()
    card = waiting(cones, 3, promised_on=FRIDAY)
    with django_capture_on_commit_callbacks(execute=True):
        come_in(cones, 1)
    sign_in(client)
    text = client.get(reverse("home")).content.decode()
    assert "Set aside 1 pc that came in: Cones" in text
    assert card.number in text
    sign_in(client, accountant=True)
    assert "that came in" not in client.get(reverse("home")).content.decode()


def test_the_cards_page_tells_it_until_it_is_drawn(
    client, cones, django_capture_on_commit_callbacks
):
    ShopFactory.create()
    sign_in(client)
    card = waiting(cones, 2)
    page = reverse("jobcards:card", args=(card.pk,))
    assert "Parts have come in" not in client.get(page).content.decode()
    with django_capture_on_commit_callbacks(execute=True):
        come_in(cones, 2)
    text = client.get(page).content.decode()
    assert "Parts have come in: set aside" in text
    assert "Set aside 2 pc that came in: Cones" in text
    draw_part(made.row_of(card, "cones"), quantity=D(2), by=UserFactory.create(), key="d")
    assert "Parts have come in" not in client.get(page).content.decode()


def test_whoever_has_the_card_open_hears_of_it(client, cones, django_capture_on_commit_callbacks):
    ShopFactory.create()
    sign_in(client)
    card = waiting(cones, 2)
    live = reverse("jobcards:live", args=(card.pk,))
    asked = {"version": card.version, "running": 0}
    assert client.get(live, asked).status_code == 204
    with django_capture_on_commit_callbacks(execute=True):
        come_in(cones, 2)
    assert "Parts have come in: set aside" in client.get(live, asked).content.decode()


def test_what_has_been_drawn_is_told_no_more(client, cones, django_capture_on_commit_callbacks):
    ShopFactory.create()
    card = waiting(cones, 1)
    with django_capture_on_commit_callbacks(execute=True):
        come_in(cones, 1)
    draw_part(made.row_of(card, "cones"), quantity=D(1), by=UserFactory.create(), key="d")
    sign_in(client)
    assert "that came in" not in client.get(reverse("home")).content.decode()


def test_what_many_cards_wait_for_is_asked_in_one_query(cones):
    for number in range(2):
        waiting(cones, 1, code=f"task-{number}")
    with CaptureQueriesContext(connection) as few:
        wants_of()
    for number in range(2, 12):
        waiting(cones, 1, code=f"task-{number}")
    with CaptureQueriesContext(connection) as many:
        assert len(wants_of()[cones.pk]) == 12
    assert len(few) == len(many) == 1


def test_the_first_page_runs_as_many_queries_for_many_arrivals(
    client, cones, django_capture_on_commit_callbacks
):
    ShopFactory.create()
    sign_in(client)

    def arrive(numbers):
        for number in numbers:
            waiting(cones, 1, code=f"task-{number}")
            with django_capture_on_commit_callbacks(execute=True):
                come_in(cones, 1)

    arrive(range(1))
    few = queries_of(client, reverse("home"))
    arrive(range(1, 9))
    assert queries_of(client, reverse("home")) == few
