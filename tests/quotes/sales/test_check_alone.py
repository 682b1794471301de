"""A bought bike with nothing to repair: looked over on a card without a quote, and for sale."""

import datetime as dt

import pytest
from django.urls import reverse

from quotes.sales.selectors.standing import reasons_not_to_sell
from quotes.sales.selectors.work import work_done
from tests.factories import jobcards as made
from tests.factories.inspections import InspectionFactory
from tests.factories.people import UserFactory, sign_in
from tests.factories.sales import bought, sold
from workshop.bikes.models import Bike, Stage
from workshop.jobcards.models import JobCard, ReleaseItem, TimeSpan
from workshop.jobcards.verbs.open_check import open_check
from workshop.jobcards.verbs.release import release_bike
from workshop.jobcards.verbs.sign import sign
from workshop.jobcards.verbs.tick import tick

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shop")]


@pytest.fixture
def purchase():
    made.release_item("brakes")
    row = bought(price="600")
    person = UserFactory.create()
    InspectionFactory.create(
        bike=row.bike, finished_at="2026-02-02T10:00:00Z", finished_by=person, started_by=person
    )
    return row


def signed_and_released(card, by):
    for item in ReleaseItem.objects.all():
        sign(card, item, by=by, key=made.a_key())
    return release_bike(card, by=by, key=made.a_key())


def test_looked_over_and_released_it_can_be_sold(purchase):
    bike = Bike.objects.get()
    assert "not released" in reasons_not_to_sell(bike)[0]
    by = UserFactory.create()
    card = signed_and_released(open_check(bike, by=by), by)
    bike.refresh_from_db()
    assert (bike.stage, reasons_not_to_sell(bike)) == (Stage.RELEASED, [])
    assert card.is_check_alone
    purchase.refresh_from_db()
    assert sold(purchase).margin == 300


def test_while_the_card_is_open_it_can_not(purchase):
    card = open_check(Bike.objects.get(), by=UserFactory.create())
    assert f"Job card {card} is open" in reasons_not_to_sell(Bike.objects.get())[0]


def test_from_the_bikes_page_to_the_button_that_sells(client, purchase):
    sign_in(client, manager=True)
    page = reverse("bikes:detail", args=(purchase.bike_id,))
    assert "Look it over and release it" in client.get(page).content.decode()
    client.post(reverse("jobcards:open_check", args=(purchase.bike_id,)))
    card, item = JobCard.objects.get(), ReleaseItem.objects.get()
    key = {"key": made.a_key()}
    client.post(reverse("jobcards:sign", args=(card.pk, item.pk)), key)
    client.post(reverse("jobcards:let_go", args=(card.pk,)), {"key": made.a_key()})
    assert reverse("sales:sell", args=(purchase.number,)) in client.get(page).content.decode()


def test_the_check_alone_does_not_hide_the_times_noted_on_another_card(purchase, shop):
    hand, walk = UserFactory.create(), purchase.bike.inspections.get()
    made.operation("hub")
    card = made.a_card(made.asked("hub"), inspection=walk)
    task, begun = made.task_of(card, "hub"), card.opened_at
    TimeSpan.objects.create(
        task=task, person=hand, started_at=begun, stopped_at=begun + dt.timedelta(minutes=5)
    )
    tick(task, by=hand, key=made.a_key(), base_version=task.version)
    signed_and_released(card, UserFactory.create(manager=True))
    assert work_done([purchase], {}, shop)[purchase.pk].minutes == 5
    Bike.objects.update(stage=Stage.BOUGHT)
    signed_and_released(open_check(Bike.objects.get(), by=hand), hand)
    done = work_done([purchase], {}, shop)[purchase.pk]
    assert (done.planned, done.minutes) == (10, 5)
