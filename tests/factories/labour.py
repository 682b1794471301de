"""Skill bands, rates, access steps, operations and remedies, made up for tests and the demo."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from decimal import Decimal
from typing import Any

import factory
from factory.django import DjangoModelFactory

from inventory.parts.models import Part
from tests.factories.parts import PartFactory
from workshop.labour.models import (
    AccessStep,
    LabourRate,
    Operation,
    Remedy,
    RemedyKind,
    RemedyOperation,
    RemedyPart,
    SkillBand,
)


def _named_by_code(thing: Any) -> str:
    """Return a name made of the code."""
    return str(thing.code).replace("-", " ").capitalize()


class SkillBandFactory(DjangoModelFactory[SkillBand]):
    """The ordinary bench band, one for all."""

    class Meta:
        model = SkillBand
        django_get_or_create = ("code",)

    code = "bench"
    name = factory.LazyAttribute(_named_by_code)


class LabourRateFactory(DjangoModelFactory[LabourRate]):
    """A rate that has been in force for long."""

    class Meta:
        model = LabourRate
        django_get_or_create = ("band", "valid_from")

    band = factory.SubFactory(SkillBandFactory)
    charged_net = Decimal("48.00")
    cost_net = Decimal("21.00")
    valid_from = dt.date(2020, 1, 1)


class AccessStepFactory(DjangoModelFactory[AccessStep]):
    """A step of three minutes; ``needs=[step, …]`` come first."""

    class Meta:
        model = AccessStep
        django_get_or_create = ("code",)
        skip_postgeneration_save = True

    code = factory.Sequence(lambda n: f"step-{n}")
    name = factory.LazyAttribute(_named_by_code)
    minutes = Decimal("3.0")
    band = factory.SubFactory(SkillBandFactory)

    @factory.post_generation
    def needs(self: Any, create: bool, steps: Iterable[AccessStep] | None, **_: Any) -> None:
        """Take the steps that come first."""
        if create and steps:
            self.needs.set(steps)


class OperationFactory(DjangoModelFactory[Operation]):
    """An operation of ten minutes; ``access=[step, …]``, ``covers=[operation, …]``."""

    class Meta:
        model = Operation
        django_get_or_create = ("code",)
        skip_postgeneration_save = True

    code = factory.Sequence(lambda n: f"operation-{n}")
    name = factory.LazyAttribute(_named_by_code)
    minutes = Decimal("10.0")
    band = factory.SubFactory(SkillBandFactory)

    @factory.post_generation
    def access(self: Any, create: bool, steps: Iterable[AccessStep] | None, **_: Any) -> None:
        """Take the access steps."""
        if create and steps:
            self.access.set(steps)

    @factory.post_generation
    def covers(self: Any, create: bool, others: Iterable[Operation] | None, **_: Any) -> None:
        """Take the operations made needless."""
        if create and others:
            self.covers.set(others)


class RemedyFactory(DjangoModelFactory[Remedy]):
    """A remedy; ``does=[operation, …]`` are its operations in order."""

    class Meta:
        model = Remedy
        django_get_or_create = ("code",)
        skip_postgeneration_save = True

    code = factory.Sequence(lambda n: f"remedy-{n}")
    name = factory.LazyAttribute(_named_by_code)
    kind = RemedyKind.SERVICE

    @factory.post_generation
    def does(self: Any, create: bool, operations: Iterable[Operation] | None, **_: Any) -> None:
        """Take the operations."""
        for order, operation in enumerate(operations or (), start=1) if create else ():
            RemedyOperationFactory(remedy=self, operation=operation, order=order)


class RemedyOperationFactory(DjangoModelFactory[RemedyOperation]):
    """An operation of a remedy, done once."""

    class Meta:
        model = RemedyOperation

    remedy = factory.SubFactory(RemedyFactory)
    operation = factory.SubFactory(OperationFactory)


class RemedyPartFactory(DjangoModelFactory[RemedyPart]):
    """One of a part for a remedy; name the remedy's operation that fits it."""

    class Meta:
        model = RemedyPart

    remedy = factory.SubFactory(RemedyFactory)
    operation = factory.SubFactory(OperationFactory)
    part: Part = factory.SubFactory(PartFactory)  # type: ignore[assignment]
    quantity = Decimal(1)
