"""What sold bikes teach: work at cost, expected against made, medians, constant queries."""

import datetime as dt
from decimal import Decimal
from unittest import mock

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from inventory.stock.verbs.give_back import give_back
from inventory.stock.verbs.reverse import reverse_movement
from quotes.sales.selectors.learning import learned_from, learned_page, spent_so_far
from quotes.sales.selectors.work import work_done
from tests.asking import assert_only_who_may_sees_costs, queries_of
from tests.factories.inspections import InspectionFactory
from tests.factories.jobcards import a_key, asked, operation, row_of, task_of
from tests.factories.labour import LabourRateFactory
from tests.factories.people import UserFactory, sign_in
from tests.factories.pool import british_pool
from tests.factories.sales import bought, in_stock, released, returned, sold, trading_shop
from tests.factories.stock import a_key as stock_key
from tests.factories.stock import stocked
from workshop.bikes.models import Bike, Stage
from workshop.jobcards.models import Drawn, JobCard, TimeSpan
from workshop.jobcards.verbs.open_card import open_card
from workshop.jobcards.verbs.parts import draw_part
from workshop.jobcards.verbs.tick import tick

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shop")]

OPENED = dt.datetime(2026, 2, 10, 9, tzinfo=dt.UTC)


@pytest.fixture
def hand():
    return UserFactory.create()


def put_right(purchase, hand, *, minutes=None, part="cones", draw=2):
    """Take a bike through a job card: one operation of ten minutes, noted as said."""
    code = f"hub-{part}"
    operation(code)
    work = asked(code, parts=((code, stocked(5, code=part), 2),))
    Bike.objects.filter(pk=purchase.bike_id).update(stage=Stage.BOUGHT)
    bike = Bike.objects.get(pk=purchase.bike_id)
    inspection = InspectionFactory.create(bike=bike, finished_at=OPENED, finished_by=hand)
    with mock.patch.object(timezone, "now", return_value=OPENED):
        card = open_card(bike, inspection, work, by=hand)
    task = task_of(card, code)
    if draw:
        draw_part(row_of(card, part), quantity=Decimal(draw), by=hand, key=a_key())
    if minutes is not None:
        TimeSpan.objects.create(
            task=task,
            person=hand,
            started_at=OPENED,
            stopped_at=OPENED + dt.timedelta(minutes=minutes),
        )
    tick(task, by=hand, key=a_key(), base_version=task.version)
    JobCard.objects.filter(pk=card.pk).update(
        state="released", released_by=hand, released_at=OPENED + dt.timedelta(days=3)
    )
    released(purchase)
    return card


def cost_of_an_hour(task):
    return task.operation.band.rates.latest("valid_from").cost_net


def test_noted_minutes_and_drawn_parts_make_the_cost(hand):
    purchase = bought()
    card = put_right(purchase, hand, minutes=15)
    LabourRateFactory.create(band=task_of(card, "hub-cones").operation.band)
    hour = cost_of_an_hour(task_of(card, "hub-cones"))
    found = work_done([purchase], {}, trading_shop())[purchase.pk]
    assert (found.planned, found.minutes) == (10, 15)
    assert found.labour == (hour / 4).quantize(Decimal("0.01"))
    assert found.parts == 8
    assert found.released_on == dt.date(2026, 2, 13)


def test_without_noted_times_the_standard_ones_are_taken(hand):
    purchase = bought()
    card = put_right(purchase, hand)
    LabourRateFactory.create(band=task_of(card, "hub-cones").operation.band)
    hour = cost_of_an_hour(task_of(card, "hub-cones"))
    found = work_done([purchase], {}, trading_shop())[purchase.pk]
    assert found.minutes is None
    assert found.labour == (hour / 6).quantize(Decimal("0.01"))


def test_parts_given_back_or_taken_back_cost_nothing(hand):
    purchase = bought()
    put_right(purchase, hand)
    drawn = Drawn.objects.get().movement
    give_back(drawn, quantity=Decimal(1), by=hand, key=stock_key())
    shop = trading_shop()
    assert work_done([purchase], {}, shop)[purchase.pk].parts == 4
    back = drawn.returned.get()
    reverse_movement(back, reason="counted wrong", by=hand, key=stock_key())
    assert work_done([purchase], {}, shop)[purchase.pk].parts == 8


def test_a_shop_that_is_not_registered_bears_the_vat_of_parts(hand):
    purchase = bought()
    put_right(purchase, hand)
    shop = trading_shop(vat_registered=False, resale_scheme="none")
    assert work_done([purchase], {}, shop)[purchase.pk].parts == Decimal("9.60")


def test_work_before_the_purchase_or_after_the_sale_does_not_count(hand):
    early = bought(bought_on=dt.date(2026, 2, 11))
    put_right(early, hand)
    assert work_done([early], {}, trading_shop())[early.pk].cost == 0
    late = bought()
    put_right(late, hand, part="cable")
    ends = {late.pk: dt.date(2026, 2, 9)}
    assert work_done([late], ends, trading_shop())[late.pk].cost == 0
    assert spent_so_far(late, dt.date(2026, 5, 20), trading_shop()).parts == 8


def test_expected_stands_beside_made(hand):
    purchase = bought(price="600")
    put_right(purchase, hand)
    sale = sold(purchase, price="960", fees_net=Decimal(12))
    (found,) = learned_from([sale], trading_shop())
    outcome = found.outcome
    assert (outcome.price_expected, outcome.price) == (900, 960)
    assert (outcome.cost_planned, outcome.profit_expected) == (80, 152)
    # 960 - 600 - VAT 60 - fees 12 - reserve of 2 % 19.20 - work
    assert outcome.profit == Decimal("268.80") - outcome.cost
    assert (outcome.days, found.shelf_days, found.age_years) == (30, 20, 7)


def test_a_pooled_sale_bears_its_vat_as_if_it_stood_by_itself():
    british_pool()
    sale = sold(in_stock(price="400", pooled=True), price="700")
    (found,) = learned_from([sale], trading_shop())
    assert found.outcome.profit == 700 - 400 - 50 - 14
    assert found.shelf_days is None


def test_vat_got_back_lowers_what_was_paid():
    sale = sold(in_stock(price="600", vat_shown=True, seller_invoice="7"), price="900")
    (found,) = learned_from([sale], trading_shop())
    assert found.outcome.profit == 900 - 500 - 150 - 18


def test_medians_by_make_and_age_leave_out_what_came_back():
    for price in ("800", "900", "1000"):
        sold(price=price)
    gone = sold(price="5000")
    returned(gone)
    page = learned_page(trading_shop())
    assert (len(page.rows), page.whole.count, page.whole.price_over) == (3, 3, 0)
    assert [(name, each.count) for name, each in page.by_make] == [("Larkfold", 3)]
    assert [name for name, _ in page.by_age] == ["4 to 7 years"]


def test_without_a_sale_there_is_nothing_to_learn():
    page = learned_page(trading_shop())
    assert (page.rows, page.whole) == ((), None)
    client = Client()
    sign_in(client, manager=True)
    assert "No bike has been sold yet" in client.get(reverse("sales:learned")).content.decode()


def test_the_page_is_for_those_who_may_see_costs(hand):
    purchase = bought(price="600")
    put_right(purchase, hand)
    sold(purchase, price="937.77")
    url = reverse("sales:learned")
    assert_only_who_may_sees_costs(url, "£937.77")


def test_queries_do_not_grow_with_the_sales(hand):
    url = reverse("sales:learned")
    client = Client()
    sign_in(client, manager=True)
    first = bought()
    put_right(first, hand, minutes=5)
    sold(first)
    few = queries_of(client, url)
    for number in range(4):
        row = bought()
        put_right(row, hand, minutes=5, part=f"part-{number}")
        sold(row)
    assert queries_of(client, url) == few
