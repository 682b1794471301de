"""Closed days and public holidays."""

import datetime as dt

import pytest

from tests.factories import bench as made
from tests.factories.shop import ShopFactory
from workshop.bench.calendar import closed_days, public_holidays, subdivisions
from workshop.bench.models import SpecialDay

CHRISTMAS, NEW_YEAR = dt.date(2026, 12, 25), dt.date(2027, 1, 1)
SECOND = dt.date(2027, 1, 4)


def closed(**settings):
    chosen = made.settings(**({"keeps_holidays": True} | settings))
    return closed_days(dt.date(2026, 12, 20), dt.date(2027, 1, 5), ShopFactory.create(), chosen)


@pytest.mark.django_db
def test_holidays_of_both_years_are_kept():
    assert closed()[CHRISTMAS] == "Christmas Day"
    assert NEW_YEAR in closed()


@pytest.mark.django_db
def test_a_shop_that_works_on_holidays_is_open():
    assert closed(keeps_holidays=False) == {}


@pytest.mark.django_db
def test_holidays_of_a_part_of_the_country():
    assert SECOND not in closed(subdivision="ENG")
    assert SECOND in closed(subdivision="SCT")


@pytest.mark.django_db
def test_days_entered_by_hand_close_and_open():
    SpecialDay.objects.create(first=CHRISTMAS, last=CHRISTMAS, is_open=True, reason="market")
    SpecialDay.objects.create(
        first=dt.date(2026, 12, 29), last=dt.date(2026, 12, 30), reason="between the years"
    )
    days = closed()
    assert CHRISTMAS not in days
    assert days[dt.date(2026, 12, 30)] == "between the years"


@pytest.mark.django_db
def test_closed_by_hand_stands_above_open_by_hand():
    SpecialDay.objects.create(first=CHRISTMAS, last=CHRISTMAS, reason="closed after all")
    SpecialDay.objects.create(first=CHRISTMAS, last=CHRISTMAS, is_open=True, reason="market")
    assert closed()[CHRISTMAS] == "closed after all"


def test_a_country_or_a_part_that_is_not_known_has_no_holidays_of_its_own():
    assert public_holidays("XX", "", 2026) == {}
    assert subdivisions("XX") == ()
    assert public_holidays("GB", "Atlantis", 2026) == public_holidays("GB", "", 2026)


def test_parts_of_a_country_have_names():
    assert ("SCT", "Scotland") in subdivisions("GB")


@pytest.mark.parametrize("country", ["GB", "DE", "NL", "FR", "US", "JP"])
def test_many_countries_have_a_new_year(country):
    assert dt.date(2027, 1, 1) in public_holidays(country, "", 2027)
