"""What a bike waits for, and the one button that stands out."""

import pytest
from django.urls import reverse

from tests.factories.bikes import BikeFactory
from tests.factories.people import sign_in
from workshop.bikes.actions import next_of, waits_for
from workshop.bikes.models import Bike, Purpose, Stage
from workshop.bikes.panels import Action


@pytest.mark.parametrize("stage", Stage)
def test_every_stage_says_what_it_waits_for(stage):
    assert waits_for(Bike(stage=stage, purpose=Purpose.REPAIR)).endswith(".")


def test_a_bike_of_the_shops_own_is_released_for_sale_not_to_be_fetched():
    assert waits_for(Bike(stage=Stage.RELEASED, purpose=Purpose.REPAIR)) == "Ready to be fetched."
    assert waits_for(Bike(stage=Stage.RELEASED, purpose=Purpose.BUY_IN)) == "Ready to be sold."


def test_only_a_first_button_that_is_meant_for_the_stage_stands_out():
    bike = Bike(stage=Stage.SENT)
    step, other = Action("Do", "/", next_at=frozenset({Stage.SENT})), Action("Look", "/")
    assert next_of(bike, [step, other]) == step
    assert next_of(bike, [other]) is None
    assert next_of(bike, []) is None


@pytest.mark.django_db
def test_the_page_of_a_new_bike_says_what_it_waits_for_and_offers_it(client):
    sign_in(client, desk=True)
    page = client.get(reverse("bikes:detail", args=(BikeFactory.create().pk,)))
    assert "Waits for its inspection." in page.content.decode()
    assert page.context["next_action"].label == "Start the inspection"
