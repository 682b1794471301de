"""Parts, made up for tests and the demo."""

from __future__ import annotations

from decimal import Decimal

import factory
from factory.django import DjangoModelFactory

from inventory.parts.models import Part


class PartFactory(DjangoModelFactory[Part]):
    """A part with a certain cost."""

    class Meta:
        model = Part
        django_get_or_create = ("code",)

    code = factory.Sequence(lambda n: f"part-{n}")
    name = factory.LazyAttribute(lambda part: part.code.replace("-", " ").capitalize())
    cost_net = Decimal("4.00")
    price_net = Decimal("8.00")
