"""The demo's comparables: all are taken, say something of its bikes, and a bad row is told."""

import csv

import pytest
from django.utils import timezone

from quotes.core.resale import Method
from quotes.demo import comparing, rows
from quotes.demo.comparing import load_comparables
from quotes.demo.rows import DemoError
from quotes.resale.models import Comparable
from quotes.resale.selectors import Likeness, resale_for
from tests.factories.bikes import BikeFactory
from tests.factories.people import UserFactory
from tests.factories.shop import ShopFactory

pytestmark = pytest.mark.django_db


def test_every_row_is_loaded_as_seen_in_the_days_before_today():
    ShopFactory.create()
    by = UserFactory.create(manager=True)
    count = load_comparables(by)
    assert count == Comparable.objects.count() == len(rows.read_csv(comparing.FILE)) >= 60
    assert Comparable.objects.latest("seen_on").seen_on <= timezone.localdate()
    assert {each.entered_by for each in Comparable.objects.all()} == {by}
    assert load_comparables(by) == 0


def test_they_are_prices_of_the_demos_own_makes_and_models():
    with (rows.FOLDER / "bikes.csv").open(encoding="utf-8") as file:
        bikes = {(row["make"], row["model"]) for row in csv.DictReader(file)}
    assert {(row["make"], row["model"]) for row in rows.read_csv(comparing.FILE)} <= bikes


def test_a_model_with_rows_enough_is_priced_by_a_line_in_spite_of_wild_prices():
    shop = ShopFactory.create()
    load_comparables(UserFactory.create(manager=True))
    year = timezone.localdate().year - 6
    bike = BikeFactory.create(make="Marlfold", model="Packhorse 6", maker_year=year)
    basis = resale_for(bike, timezone.localdate(), shop)
    assert (basis.likeness, basis.resale.method) == (Likeness.SAME_MODEL, Method.REGRESSION)
    assert basis.resale.low < basis.resale.likely < basis.resale.high
    assert basis.resale.error_share < 0.15
    assert max(abs(each.foretold.error_share) for each in basis.rows) > 0.3


def test_a_bad_row_is_told_by_file_row_and_column(monkeypatch):
    ShopFactory.create()
    good = rows.read_csv(comparing.FILE)
    monkeypatch.setattr(comparing, "read_csv", lambda name: [*good[:2], {**good[2], "price": "x"}])
    with pytest.raises(DemoError, match=r"comparables.csv, row 4, price"):
        load_comparables(UserFactory.create(manager=True))
    assert not Comparable.objects.exists()
