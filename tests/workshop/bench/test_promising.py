"""The day that can be promised, out of cards, parts, orders, hours and closed days."""

import datetime as dt
from decimal import Decimal
from unittest import mock
from zoneinfo import ZoneInfo

import pytest

from tests.factories import bench as made
from tests.factories.jobcards import a_card
from tests.factories.parts import PartFactory
from tests.factories.people import UserFactory
from tests.factories.purchasing import came_late, ordered, sold
from tests.factories.stock import stocked
from tests.factories.suppliers import SupplierFactory
from workshop.bench.models import Absence, SpecialDay
from workshop.bench.promising import forecast_now, promise_for
from workshop.core.spread import LEAST_CARDS
from workshop.jobcards.models import Task

MONDAY = dt.datetime(2026, 3, 2, 7, 0, tzinfo=ZoneInfo("Europe/London"))

pytestmark = pytest.mark.usefixtures("monday")


@pytest.fixture
def day_for(work):
    """Return the day promised for work of so many standard minutes, with parts."""

    def ask(minutes, *parts):
        return promise_for(work(minutes, *parts)).day

    return ask


def on_order(part, *, lead_days, days_ago=0):
    """Return an order of two of a part from a supplier who takes so many working days."""
    article = sold(part, supplier=SupplierFactory.create(lead_days=lead_days))
    with mock.patch("django.utils.timezone.now", return_value=MONDAY - dt.timedelta(days=days_ago)):
        return ordered(article, packs=2)


def test_the_hours_of_who_is_there_make_the_day(day_for):
    """480 minutes a day; work takes 1.15 times its standard time on average."""
    made.at_bench()
    assert day_for(400) == dt.date(2026, 3, 2)
    assert day_for(430) == dt.date(2026, 3, 3)


def test_without_hours_there_is_no_day(day_for):
    assert day_for(10) is None
    assert not forecast_now().has_hours


def test_who_has_left_the_shop_does_not_count(day_for):
    made.at_bench(UserFactory.create(is_active=False))
    assert day_for(10) is None


def test_open_cards_stand_before_a_new_one(work):
    made.at_bench()
    a_card(work(400), promised_on=dt.date(2026, 3, 2))
    promise = promise_for(work(100))
    assert promise.day == dt.date(2026, 3, 3)
    assert "1 card with 400 standard minutes before it." in promise.reasons


def test_what_is_done_stands_before_nobody(work, day_for):
    made.at_bench()
    card = a_card(work(400))
    Task.objects.filter(card=card).update(
        state="done", done_by=UserFactory.create(), done_at=MONDAY
    )
    assert day_for(100) == dt.date(2026, 3, 2)


def test_the_queue_is_in_the_order_of_the_promises(work):
    made.at_bench()
    late = a_card(work(10), promised_on=dt.date(2026, 3, 6))
    none = a_card(work(10))
    soon = a_card(work(10), promised_on=dt.date(2026, 3, 3))
    assert [each.card for each in forecast_now().standings] == [soon, late, none]


def test_absences_and_closed_days_move_the_day_on(work):
    person = made.at_bench()
    Absence.objects.create(person=person, first=dt.date(2026, 3, 2), last=dt.date(2026, 3, 3))
    SpecialDay.objects.create(
        first=dt.date(2026, 3, 4), last=dt.date(2026, 3, 4), reason="stocktaking"
    )
    promise = promise_for(work(10))
    assert promise.day == dt.date(2026, 3, 5)
    assert "Wed 4 Mar is closed: stocktaking." in promise.reasons


def test_a_part_on_the_shelf_is_not_waited_for(day_for):
    made.at_bench()
    assert day_for(10, (stocked(2), 2)) == dt.date(2026, 3, 2)


def test_a_part_on_order_is_worked_with_on_the_day_after_it_is_expected(work):
    made.at_bench()
    part = PartFactory.create(name="Rim")
    order = on_order(part, lead_days=2)
    promise = promise_for(work(10, (part, 2)))
    assert promise.day == dt.date(2026, 3, 5)
    assert f"Waits until Wed 4 Mar: 2 × Rim on order {order.number}." in promise.reasons


def test_an_overdue_order_is_taken_to_come_today(work):
    made.at_bench()
    part = PartFactory.create(name="Rim")
    order = on_order(part, lead_days=2, days_ago=6)
    promise = promise_for(work(10, (part, 1)))
    assert promise.day == dt.date(2026, 3, 3)
    assert f"on order {order.number}, due since Thu 26 Feb." in promise.reasons[0]


@pytest.fixture
def seldom_in_time(monkeypatch):
    """A supplier with a lead time of two days, of whose last six orders four came late."""
    monkeypatch.setattr("inventory.paper.press.pdf_of", lambda html: b"%PDF")
    supplier = SupplierFactory.create(lead_days=2)
    for late in (0, 0, 1, 3, 3, 5):
        came_late(supplier, late, ordered_on=MONDAY - dt.timedelta(days=60))
    return supplier


def order_from(supplier, part, *, days_ago=0):
    """Return an order of two of a part, placed some days ago."""
    article = sold(part, supplier=supplier)
    with mock.patch("django.utils.timezone.now", return_value=MONDAY - dt.timedelta(days=days_ago)):
        return ordered(article, packs=2)


def test_a_late_supplier_is_not_taken_at_their_word(work, seldom_in_time):
    """At an even chance four of six orders are enough: they came within three days."""
    made.at_bench()
    part = PartFactory.create(name="Rim")
    order = order_from(seldom_in_time, part)
    promise = promise_for(work(10, (part, 2)))
    words = f"2 × Rim on order {order.number}, due Wed 4 Mar (supplier late with 4 of 6 orders)"
    assert f"Waits until Mon 9 Mar: {words}." in promise.reasons
    assert promise.day == dt.date(2026, 3, 10)


def test_a_greater_share_waits_for_the_latest_order_of_a_short_record(work, seldom_in_time):
    made.at_bench()
    made.settings(share=Decimal("0.8"))
    part = PartFactory.create(name="Rim")
    order_from(seldom_in_time, part)
    assert promise_for(work(10, (part, 2))).day == dt.date(2026, 3, 12)


def test_what_is_overdue_is_told_by_the_orders_that_were_as_late(work, seldom_in_time):
    """Due on Thursday, it is two working days late: the three that came later tell of it."""
    made.at_bench()
    part = PartFactory.create(name="Rim")
    order_from(seldom_in_time, part, days_ago=6)
    promise = promise_for(work(10, (part, 2)))
    assert "due since Thu 26 Feb (supplier late with 4 of 6 orders)" in promise.reasons[0]
    assert promise.reasons[0].startswith("Waits until Tue 3 Mar: ")


def test_a_need_met_by_two_orders_waits_for_both(work, seldom_in_time):
    made.at_bench()
    part = PartFactory.create(name="Rim")
    late = order_from(seldom_in_time, part)
    prompt = on_order(part, lead_days=3)
    promise = promise_for(work(10, (part, 4)))
    assert f"4 × Rim on order {late.number} and {prompt.number}" in promise.reasons[0]
    assert promise.reasons[0].startswith("Waits until Mon 9 Mar: ")


def test_what_is_not_ordered_takes_the_usual_lead_time(work):
    made.at_bench()
    promise = promise_for(work(10, (PartFactory.create(name="Hub"), 1)))
    assert promise.day == dt.date(2026, 3, 10)
    assert promise.reasons[0] == "Waits until Mon 9 Mar: 1 × Hub, not ordered yet."


def test_parts_on_their_way_go_to_who_stands_first(work, day_for):
    made.at_bench()
    part = PartFactory.create()
    on_order(part, lead_days=1)
    a_card(work(10, (part, 2)))
    assert day_for(10, (part, 1)) == dt.date(2026, 3, 10)


def test_access_and_the_release_check_count_too(work):
    made.at_bench()
    made.settings(share=Decimal("0.5"), check_minutes=20)
    one = work(10)
    with_access = type(one)(
        one.quote_number, 1, 1, one.tasks, step_minutes={"wheel-out": Decimal(8)}
    )
    assert promise_for(with_access).standard == pytest.approx(38)


def test_the_shops_own_spread_is_taken_once_enough_cards_were_timed(work, day_for):
    made.at_bench()
    for number in range(LEAST_CARDS):
        made.finished(a_card(work(20)), 3 if number % 2 else 2)
    forecast = forecast_now()
    assert forecast.spread.is_own
    assert forecast.spread.mean == pytest.approx(2.5)
    assert day_for(200) == dt.date(2026, 3, 3)


@pytest.mark.parametrize("cards", [1, 6])
def test_a_promise_takes_the_same_queries_however_many_cards(
    django_assert_num_queries, cards, work
):
    made.at_bench()
    for _ in range(cards):
        a_card(work(10, (stocked(1), 2)))
    asked_for = work(10, (PartFactory.create(), 1))
    with django_assert_num_queries(14):
        promise_for(asked_for)
