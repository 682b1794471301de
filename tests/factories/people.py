"""People and customers as tests want them."""

from __future__ import annotations

import factory
from django.test import Client
from factory.django import DjangoModelFactory, Password

from workshop.customers.models import Customer
from workshop.people.models import Role, User

PASSWORD = "a-fine-long-ride"


class UserFactory(DjangoModelFactory[User]):
    """A mechanic; ``manager=True``, ``desk=True`` or ``accountant=True`` for another role."""

    class Meta:
        model = User

    username = factory.Sequence(lambda n: f"person{n}")
    first_name = "Robin"
    last_name = factory.Sequence(lambda n: f"Bench {n}")
    password = Password(PASSWORD)
    role = Role.MECHANIC

    class Params:
        manager = factory.Trait(role=Role.MANAGER)
        desk = factory.Trait(role=Role.DESK)
        accountant = factory.Trait(role=Role.ACCOUNTANT)


class CustomerFactory(DjangoModelFactory[Customer]):
    """Somebody who owns or offers a bike."""

    class Meta:
        model = Customer

    name = factory.Sequence(lambda n: f"Customer {n}")
    phone = factory.Sequence(lambda n: f"01632 960{n:03}")
    email = factory.Sequence(lambda n: f"customer{n}@example.org")


def sign_in(client: Client, **traits: object) -> User:
    """Sign a new person in at the client; ``manager=True`` and the like choose the role."""
    person = UserFactory.create(**traits)
    client.force_login(person)
    return person
