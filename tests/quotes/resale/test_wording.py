"""The resale price in words, and its picture."""

import datetime as dt
from decimal import Decimal

import pytest

from quotes.core.market import Share
from quotes.resale.models import PriceKind
from quotes.resale.pictures import price_by_age
from quotes.resale.selectors import resale_for
from quotes.resale.wording import page_words, share_words, signed_per_cent
from tests.factories.bikes import BikeFactory
from tests.factories.resale import ComparableFactory, DroppedFactory, on_a_line
from tests.factories.shop import ShopFactory
from workshop.bikes.models import Frame

pytestmark = pytest.mark.django_db

TODAY = dt.date(2025, 12, 1)


def told(bike=None, **bike_facts):
    shop = ShopFactory.create()
    bike = bike or BikeFactory.create(**({"maker_year": 2019} | bike_facts))
    basis = resale_for(bike, TODAY, shop)
    return page_words(basis, shop), price_by_age(basis, shop)


def test_a_regression_says_how_many_prices_of_which_bikes_and_how_sure():
    on_a_line(12)
    words, _ = told()
    assert words.likely == "£388"
    assert words.range.startswith("Between £38")
    assert "about eight times in ten" in words.range
    assert "12 prices of the same make and model (Larkfold Commuter 6)" in words.method
    assert "regression" in words.method
    assert "less than 0\N{NO-BREAK SPACE}%" in words.error
    assert words.order == "nearest in age first"
    assert "stand to the line" in words.against
    assert ("A year older", "−7\N{NO-BREAK SPACE}%") in words.facts


def test_a_median_says_why_there_is_no_line():
    on_a_line(3, model="Sprint")
    words, _ = told()
    assert "The middle one of 3 prices of folding bikes, whatever the make" in words.method
    assert "fewer than 8 make no line" in words.method
    assert words.range.startswith("The prices go from £483")
    assert any("other makes stand in" in each for each in words.cautions)


def test_one_price_is_told_as_the_only_one():
    ComparableFactory.create()
    words, chart = told()
    assert words.method.startswith("The only price of")
    assert words.range == ""
    assert "nothing to check it against" in words.error
    assert chart.rows[0][1:] == ("6", "£400.00", "sold")


def test_an_unknown_year_is_told_and_leaves_no_target_in_the_picture():
    on_a_line(9)
    words, chart = told(maker_year=None)
    assert "without the bike’s year" in words.method
    assert any("year is not known" in each for each in words.cautions)
    assert len(chart.rows) == 9
    assert words.order == "nearest in condition first"
    assert "middle one, whatever the age" in words.against


def test_carrying_the_line_on_and_one_condition_are_cautioned():
    on_a_line(9)
    words, _ = told(maker_year=2001)
    assert any("older than every price" in each for each in words.cautions)
    assert any("of one condition" in each for each in words.cautions)


def test_a_bike_that_does_not_fold_is_told_so():
    on_a_line(2, frame=Frame.DIAMOND, make="Harbourline")
    words, _ = told(diamond=True, make="Oakhinge")
    assert words.like == "bikes that do not fold, whatever the make"


def test_without_any_price_there_is_no_picture():
    words, chart = told()
    assert (words.likely, words.range, chart) == ("", "", None)


def test_the_picture_tells_sold_asked_and_dropped_apart_and_holds_every_price():
    made = on_a_line(9)
    ComparableFactory.create(price=Decimal(450), kind=PriceKind.ASKED)
    bike = BikeFactory.create(maker_year=2019)
    DroppedFactory.create(comparable=made[0], bike=bike)
    _, chart = told(bike)
    kinds = [row[3] for row in chart.rows]
    assert (kinds.count("sold"), kinds.count("asked"), kinds.count("dropped")) == (8, 1, 1)
    prices = {row[2] for row in chart.rows}
    assert {f"£{each.price:.2f}" for each in made} <= prices
    assert chart.rows[-1][0] == bike.stock_no
    assert "9 prices from" in chart.svg


@pytest.mark.parametrize(
    ("share", "words"), [(0.114, "+11"), (-0.114, "−11"), (0.004, "0"), (-0.004, "0")]
)
def test_shares_have_their_sign(share, words):
    assert signed_per_cent(share) == f"{words}\N{NO-BREAK SPACE}%"


@pytest.mark.parametrize(
    ("share", "words"),
    [
        (Share(None, 0), "none"),
        (Share(1.0, 1), "just there (1 price)"),
        (Share(1.1, 2), "10\N{NO-BREAK SPACE}% above (2 prices)"),
        (Share(0.9, 3), "10\N{NO-BREAK SPACE}% below (3 prices)"),
    ],
)
def test_how_prices_stand_to_the_line(share, words):
    assert share_words(share) == words
