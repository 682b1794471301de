"""Sizes in the demo shop: every row of its files is kept, and the models are the demo's own."""

import pytest

from inventory.core.fitting import Answer, does_it_fit
from inventory.parts.models import FitFacts, Part
from quotes.demo.fitting import load_part_sizes, measure_as_its_model, model_sizes
from quotes.demo.rows import DemoError, bike_rows, read_csv
from tests.factories.bikes import BikeFactory
from tests.factories.people import UserFactory
from workshop.bikes.fitting import facts_of

pytestmark = pytest.mark.django_db


def test_parts_come_in_sizes_that_fit_only_some_bikes(catalogue):
    rows = read_csv("part_sizes.csv")
    assert load_part_sizes(UserFactory.create(manager=True)) == len(rows)
    assert Part.objects.filter(size_of__isnull=False).count() == sum(
        bool(row["size_of"]) for row in rows
    )
    assert all(row.told for row in FitFacts.objects.all())


def test_a_catalogue_without_the_parts_is_refused():
    with pytest.raises(DemoError, match="has no part"):
        load_part_sizes(UserFactory.create(manager=True))


def test_every_model_of_the_demo_has_sizes_that_can_be():
    sizes = model_sizes()
    models = {(row.fields["make"], row.fields["model"]) for row in bike_rows()}
    assert sizes.keys() <= models
    assert models - sizes.keys() == {("Quillon", "Halfway 8")}
    for make, model in models:
        measure_as_its_model(BikeFactory.create(make=make, model=model), sizes)


def test_most_measured_models_find_a_tyre_that_fits(catalogue):
    load_part_sizes(UserFactory.create(manager=True))
    tyres = FitFacts.objects.filter(part__size_of__code="tyre")
    one_a_model = {row.fields["model"]: row for row in bike_rows()}
    for row in one_a_model.values():
        bike = BikeFactory.create(
            **{name: row.fields[name] for name in ("make", "model", "bead_seat_mm", "brake")}
        )
        measure_as_its_model(bike, model_sizes())
        fits = [does_it_fit(tyre.facts(), facts_of(bike)).answer for tyre in tyres]
        assert (Answer.YES in fits) is (bike.make != "Quillon"), bike
