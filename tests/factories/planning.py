"""Service packages, bonds, locks and hidden faults as tests want them."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import factory
from factory.django import DjangoModelFactory

from quotes.deciding.models import HiddenRisk
from quotes.planning.models import LockKind, PlanLock, RemedyBond, ServicePackage
from tests.factories.people import UserFactory
from workshop.inspections.models import Fault
from workshop.labour.models import Remedy


def package(code: str, remedy: Remedy, *faults: Fault, at_least: int = 2) -> ServicePackage:
    """Return a package of that work which cures the faults."""
    made = ServicePackage.objects.create(
        code=code, name=code.replace("-", " "), remedy=remedy, at_least=at_least
    )
    made.faults.set(faults)
    return made


def bond(remedy: Remedy, kind: str, other: Remedy, words: str = "they belong so") -> RemedyBond:
    """Return a bond of two remedies."""
    code = f"{remedy.code}-{kind}-{other.code}"
    return RemedyBond.objects.create(code=code, remedy=remedy, kind=kind, other=other, words=words)


class PlanLockFactory(DjangoModelFactory[PlanLock]):
    """A remedy locked by a manager."""

    class Meta:
        model = PlanLock

    kind = LockKind.LOCK
    reason = "the customer wants it so"
    by = factory.SubFactory(UserFactory, manager=True)


def hidden_risk(
    code: str, *, faults: tuple[Fault, ...] = (), unless: tuple[Fault, ...] = (), **fields: Any
) -> HiddenRisk:
    """Return a hidden fault with a probability of 20 % that costs 10 to 60, likely 20."""
    values: dict[str, Any] = {
        "words": code.replace("-", " "),
        "probability": Decimal("0.2"),
        "cost_low_net": Decimal(10),
        "cost_net": Decimal(20),
        "cost_high_net": Decimal(60),
        "source": "common practice, no source",
    }
    made = HiddenRisk.objects.create(code=code, **(values | fields))
    made.faults.set(faults)
    made.unless.set(unless)
    return made
