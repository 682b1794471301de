"""A part's facts entered, and whether it fits a bike."""

from decimal import Decimal

import pytest
from django.urls import reverse

from inventory.parts.models import FitFacts, Part
from tests.asking import text_of
from tests.factories.bikes import BikeFactory
from tests.factories.parts import PartFactory
from tests.factories.people import sign_in

pytestmark = pytest.mark.django_db
D = Decimal


def facts(**more):
    return {"minimum": "0", "pack_size": "1", "ending": "none", "place": "", "gtin": ""} | more


def test_facts_are_saved_together_or_not_at_all(manager):
    part = PartFactory.create()
    url = reverse("stock:facts", args=(part.pk,))
    wrong = manager.post(url, facts(place="A1", **{"fit-bead_seat_mm": "400"}))
    assert wrong.status_code == 422
    assert "no rim diameter" in text_of(wrong)
    assert Part.objects.get().place == ""
    right = facts(place="A1", gtin="629104150021 3", markup="60", minimum="2,5")
    manager.post(url, right | {"fit-bead_seat_mm": "406", "fit-post_mm": "33,9"})
    part.refresh_from_db()
    assert (part.place, part.gtin, part.markup) == ("A1", "6291041500213", D("0.6"))
    assert part.minimum == D("2.5")
    assert (part.fit.bead_seat_mm, part.fit.post_mm) == (406, D("33.9"))
    assert 'value="60"' in text_of(manager.get(url))


def test_the_mark_up_is_left_alone_by_who_may_not_see_costs(client):
    sign_in(client, desk=True)
    part = PartFactory.create(markup=D("0.6"))
    url = reverse("stock:facts", args=(part.pk,))
    assert "Mark-up" not in text_of(client.get(url))
    client.post(url, facts(markup="5"))
    part.refresh_from_db()
    assert part.markup == D("0.6")


@pytest.mark.parametrize(
    ("query", "answer"),
    [
        ({"number": "{bike}"}, "Yes"),
        ({"bead_seat_mm": "349"}, "No"),
        ({"number": ""}, "Not known"),
        ({"number": "{bike}", "bead_seat_mm": "349"}, "No"),  # the tape measure is believed
    ],
)
def test_does_it_fit_this_bike(bench, query, answer):
    bike = BikeFactory.create(bead_seat_mm=406)
    part = PartFactory.create()
    FitFacts.objects.create(part=part, bead_seat_mm=406)
    asked = {name: value.replace("{bike}", bike.stock_no) for name, value in query.items()}
    text = text_of(bench.get(reverse("stock:fit", args=(part.pk,)), asked))
    assert f'<span class="big-number">{answer}</span>' in text


def test_a_bike_that_is_not_there_is_said_so(bench):
    part = PartFactory.create()
    FitFacts.objects.create(part=part, bead_seat_mm=406)
    response = bench.get(reverse("stock:fit", args=(part.pk,)), {"number": "B9999"})
    assert response.status_code == 422
    assert "There is no bike B9999" in text_of(response)


def test_a_part_without_sizes_asks_for_them(bench):
    response = bench.get(reverse("stock:fit", args=(PartFactory.create().pk,)))
    assert "Nothing is kept that tells what it fits" in text_of(response)
