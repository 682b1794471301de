"""Bikes as tests want them."""

from __future__ import annotations

import factory
from django.db import transaction
from factory.django import DjangoModelFactory

from inventory.numbering.verbs.next_number import next_number
from tests.factories.people import CustomerFactory, UserFactory
from workshop.bikes.models import Bike, Brake, Frame, Gears, Purpose


def next_stock_no() -> str:
    """Take a stock number from the counter that the shop itself uses."""
    with transaction.atomic():
        return next_number("bike", "B", 4)


class BikeFactory(DjangoModelFactory[Bike]):
    """A folding bike with rim brakes and a hub gear, offered to the shop.

    ``diamond=True`` makes it an ordinary bike with derailleur, ``disc=True`` gives it disc
    brakes, ``repair=True`` makes it a customer's.
    """

    class Meta:
        model = Bike

    stock_no = factory.LazyFunction(next_stock_no)
    frame_number = factory.Sequence(lambda n: f"FN-{n:05}")
    make = "Larkfold"
    model = "Commuter 6"
    colour = "dark green"
    maker_year = 2019
    frame = Frame.FOLDING
    brake = Brake.RIM
    gears = Gears.HUB
    customer = factory.SubFactory(CustomerFactory)
    booked_in_by = factory.SubFactory(UserFactory, desk=True)

    class Params:
        diamond = factory.Trait(frame=Frame.DIAMOND, gears=Gears.DERAILLEUR, make="Harbourline")
        disc = factory.Trait(brake=Brake.DISC)
        repair = factory.Trait(purpose=Purpose.REPAIR)
