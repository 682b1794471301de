"""A bike of the shop's own whose quote is refused: still bought, and on its way to the sale."""

import pytest

from quotes.acceptance.verbs.record import record_answer
from quotes.buyin.models import Decision
from quotes.quoting.verbs.send import send
from quotes.quoting.verbs.start import start_quote
from tests.factories import quotes as made
from tests.factories.people import UserFactory
from tests.factories.sales import bought, decided, released, returned, sold, trading_shop
from workshop.bikes.models import Bike, Stage
from workshop.jobcards.verbs.open_check import open_check

pytestmark = pytest.mark.django_db


@pytest.fixture
def manager():
    return UserFactory.create(manager=True)


@pytest.fixture
def walk(quick_pdf):
    made.priced_shop()
    trading_shop()
    return made.inspected(made.fault("cable", made.remedy("cable-cure")), purpose="buy_in")


def refuse(walk, by):
    revision = start_quote(walk, by)
    send(revision, by)
    record_answer(revision, decided_by="x", by=by, accepted_lines=[], must_refused_ok=True)
    return Bike.objects.get(pk=walk.bike_id)


def test_it_stays_bought_and_may_be_looked_over_without_that_work(walk, manager):
    bought(check=decided(walk.bike))
    bike = refuse(walk, manager)
    assert bike.stage == Stage.BOUGHT
    assert open_check(bike, by=manager).state == "checking"


def test_so_does_one_that_is_not_in_the_stock_book_yet(walk, manager):
    decided(walk.bike)
    assert refuse(walk, manager).stage == Stage.BOUGHT


def test_one_that_was_offered_and_not_bought_is_refused(walk, manager):
    assert refuse(walk, manager).stage == Stage.REFUSED


def test_one_that_was_left_is_refused(walk, manager):
    decided(walk.bike)
    decided(walk.bike, decision=Decision.LEAVE)
    Bike.objects.update(stage=Stage.INSPECTED)
    assert refuse(walk, manager).stage == Stage.REFUSED


def test_one_that_was_sold_is_its_new_owners(walk, manager):
    sold(released(bought(check=decided(walk.bike))))
    Bike.objects.update(stage=Stage.INSPECTED)
    assert refuse(walk, manager).stage == Stage.REFUSED


def test_taken_back_it_is_the_shops_again(walk, manager):
    returned(sold(released(bought(check=decided(walk.bike)))))
    assert refuse(walk, manager).stage == Stage.BOUGHT
