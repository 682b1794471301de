"""The rows that a bike's price rests on: which are like it, which are dropped, what they say."""

import datetime as dt
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from quotes.core.resale import ENOUGH, Method
from quotes.resale.models import Grade, PriceKind
from quotes.resale.selectors import Likeness, Row, resale_for, rows
from tests.factories.bikes import BikeFactory
from tests.factories.people import UserFactory
from tests.factories.resale import ComparableFactory, DroppedFactory, on_a_line
from tests.factories.shop import ShopFactory
from workshop.bikes.models import Frame

pytestmark = pytest.mark.django_db

TODAY = dt.date(2025, 12, 1)


@pytest.fixture
def shop():
    return ShopFactory.create()


@pytest.fixture
def bike():
    return BikeFactory.create(maker_year=2019)


def basis_of(bike, shop, **options):
    return resale_for(bike, options.pop("on", TODAY), shop, **options)


def keys(basis):
    return {each.row.comparable_id for each in basis.rows}


# which rows


def test_eight_of_the_same_make_and_model_are_enough(bike, shop):
    same = on_a_line(ENOUGH, make="LARKFOLD", model="commuter-6")
    on_a_line(5, model="Sprint")
    basis = basis_of(bike, shop)
    assert basis.likeness is Likeness.SAME_MODEL
    assert keys(basis) == {each.pk for each in same}


def test_with_fewer_the_whole_make_stands_in(bike, shop):
    make = on_a_line(ENOUGH - 1) + on_a_line(2, model="Sprint")
    on_a_line(9, make="Kettlewing")
    basis = basis_of(bike, shop)
    assert basis.likeness is Likeness.SAME_MAKE
    assert keys(basis) == {each.pk for each in make}


def test_with_fewer_still_every_bike_of_that_frame_stands_in(bike, shop):
    folding = on_a_line(3) + on_a_line(3, make="Kettlewing")
    on_a_line(9, make="Larkfold", frame=Frame.DIAMOND)
    basis = basis_of(bike, shop)
    assert basis.likeness is Likeness.SAME_FRAME
    assert keys(basis) == {each.pk for each in folding}
    assert basis.resale.method is Method.MEDIAN


def test_a_bike_without_a_model_is_like_its_make(shop):
    bike = BikeFactory.create(model="")
    on_a_line(ENOUGH, model="")
    assert basis_of(bike, shop).likeness is Likeness.SAME_MAKE


def test_prices_seen_after_the_day_are_not_used(bike, shop):
    on_a_line(ENOUGH)
    late = ComparableFactory.create(seen_on=TODAY + dt.timedelta(days=1))
    assert late.pk not in keys(basis_of(bike, shop))
    assert late.pk in keys(basis_of(bike, shop, on=late.seen_on))


def test_of_very_many_the_latest_are_used(bike, shop, monkeypatch):
    monkeypatch.setattr(rows, "LATEST", 9)
    made = on_a_line(12)
    latest = sorted(made, key=lambda each: each.seen_on, reverse=True)
    used = basis_of(bike, shop)
    assert len(used.rows) == 9
    oldest_used = min(each.row.seen_on for each in used.rows)
    assert oldest_used >= latest[8].seen_on


def test_another_source_of_prices_joins_in(bike, shop, monkeypatch):
    on_a_line(ENOUGH)
    own = Row(
        "s1",
        None,
        "our own",
        2019,
        6,
        Grade.GOOD,
        Decimal(390),
        PriceKind.SOLD,
        dt.date(2025, 11, 1),
        12,
        "",
    )
    monkeypatch.setattr(rows, "SOURCES", (*rows.SOURCES, lambda wanted, likeness: [own]))
    basis = basis_of(bike, shop)
    assert len(basis.rows) == ENOUGH + 1
    assert "s1" in basis.resale.used


# dropped rows


def test_a_dropped_row_counts_no_more_for_this_bike_only(bike, shop):
    wild = ComparableFactory.create(price=Decimal(4000), maker_year=2019)
    on_a_line(ENOUGH)
    before = basis_of(bike, shop)
    note = DroppedFactory.create(comparable=wild, bike=bike)
    after = basis_of(bike, shop)
    assert keys(before) - keys(after) == {wild.pk}
    assert [(each.row.comparable_id, each.dropped) for each in after.dropped] == [(wild.pk, note)]
    other = BikeFactory.create(maker_year=2019)
    assert wild.pk in keys(basis_of(other, shop))


def test_dropping_below_eight_widens_what_is_like(bike, shop):
    made = on_a_line(ENOUGH)
    on_a_line(3, model="Sprint")
    assert basis_of(bike, shop).likeness is Likeness.SAME_MODEL
    DroppedFactory.create(comparable=made[0], bike=bike)
    basis = basis_of(bike, shop)
    assert basis.likeness is Likeness.SAME_MAKE
    assert len(basis.rows) == ENOUGH + 2
    assert len(basis.dropped) == 1


def test_with_every_row_dropped_there_is_no_basis(bike, shop):
    for each in on_a_line(3):
        DroppedFactory.create(comparable=each, bike=bike)
    basis = basis_of(bike, shop)
    assert not basis.has_price
    assert len(basis.dropped) == 3


# what they say


def test_a_price_on_the_line_comes_back(bike, shop):
    on_a_line(12)
    basis = basis_of(bike, shop)
    assert basis.resale.method is Method.REGRESSION
    assert float(basis.resale.likely) == pytest.approx(600 * 0.93**6, abs=0.05)
    assert basis.age_years == 6
    assert basis.resale.error_share == pytest.approx(0, abs=1e-4)


def test_a_better_condition_brings_more(bike, shop):
    for grade in Grade:
        for price in (300, 310):
            ComparableFactory.create(condition=grade, price=Decimal(price + 40 * grade))
    fair, good = (basis_of(bike, shop, condition=grade) for grade in (Grade.FAIR, Grade.GOOD))
    assert fair.resale.likely < good.resale.likely
    assert basis_of(bike, shop).condition is Grade.GOOD


def test_rows_stand_nearest_first_each_with_what_the_others_foretell(bike, shop):
    on_a_line(12)
    basis = basis_of(bike, shop)
    distances = [abs(each.row.age_years - 6) for each in basis.rows]
    assert distances == sorted(distances)
    assert [each.foretold.key for each in basis.rows] == [each.row.key for each in basis.rows]


def test_without_a_year_the_median_speaks(shop):
    bike = BikeFactory.create(maker_year=None)
    on_a_line(9)
    basis = basis_of(bike, shop)
    assert (basis.age_years, basis.resale.method) == (None, Method.MEDIAN)


@pytest.mark.parametrize(("year", "words"), [(2010, "older"), (2019, ""), (2025, "younger")])
def test_a_bike_beyond_what_is_known_is_told(shop, year, words):
    on_a_line(9)
    assert basis_of(BikeFactory.create(maker_year=year), shop).beyond == words


def test_season_and_shelf_are_facts_of_the_rows_used(bike, shop):
    on_a_line(ENOUGH)
    ComparableFactory.create(
        maker_year=2019, price=Decimal(500), seen_on=dt.date(2025, 11, 2), days_on_shelf=30
    )
    market = basis_of(bike, shop).market
    assert market.days_on_shelf == 30
    assert market.quarters[3].count == 1
    assert market.quarters[3].ratio == pytest.approx(500 / (600 * 0.93**6), abs=0.02)
    assert market.asked.count == 0
    assert market.sold.count == ENOUGH + 1


def test_no_rows_no_basis(bike, shop):
    basis = basis_of(bike, shop)
    assert (basis.has_price, basis.rows, basis.beyond) == (False, (), "")


def test_it_runs_as_many_queries_for_many_rows_as_for_few(bike, shop):
    counts = []
    for more in (ENOUGH, 30):
        made = on_a_line(more, entered_by=UserFactory.create(manager=True))
        DroppedFactory.create(comparable=made[0], bike=bike)
        with CaptureQueriesContext(connection) as queries:
            basis_of(bike, shop)
        counts.append(len(queries))
    assert counts[1] <= counts[0] <= 4
