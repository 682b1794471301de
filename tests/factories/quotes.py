"""Quotes as tests want them: made by the shop's own verbs from an inspection with findings."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django.utils import timezone

from quotes.quoting.models import QuotedFinding, Revision
from quotes.quoting.verbs.start import start_quote
from tests.factories.bikes import BikeFactory
from tests.factories.inspections import (
    CheckFactory,
    CheckpointFactory,
    FaultFactory,
    FindingFactory,
    InspectionFactory,
    RemedyOptionFactory,
)
from tests.factories.labour import (
    AccessStepFactory,
    LabourRateFactory,
    OperationFactory,
    RemedyFactory,
    RemedyPartFactory,
)
from tests.factories.parts import PartFactory
from tests.factories.people import UserFactory
from tests.factories.shop import ShopFactory, VatRateFactory
from workshop.bikes.models import Stage
from workshop.inspections.models import Check, Fault, Inspection, Outcome
from workshop.labour.models import Remedy
from workshop.people.models import User
from workshop.shop.models import VatRate


def priced_shop(**shop: Any) -> None:
    """Set up a shop with a labour rate of 48.00 an hour and VAT at 20 %, without sundries."""
    shop.setdefault("sundries_share", Decimal(0))
    ShopFactory.create(**shop)
    LabourRateFactory.create()
    if not VatRate.objects.exists():
        VatRateFactory.create()


def remedy(
    code: str, *, minutes: str = "15.0", part: str = "", access: str = "", **part_fields: Any
) -> Remedy:
    """Return a remedy of one operation, which fits a part and needs an access step if named."""
    steps = [AccessStepFactory.create(code=access)] if access else []
    operation = OperationFactory.create(code=f"{code}-work", minutes=Decimal(minutes), access=steps)
    made = RemedyFactory.create(code=code, does=[operation])
    if part:
        article = PartFactory.create(code=part, **part_fields)
        RemedyPartFactory.create(remedy=made, operation=operation, part=article)
    return made


def fault(code: str, *remedies: Remedy, **fields: Any) -> Fault:
    """Return a fault at a checkpoint of its own, with remedies in their rank."""
    point = fields.pop("checkpoint", None) or CheckpointFactory.create(code=f"{code}-point")
    made = FaultFactory.create(code=code, checkpoint=point, **fields)
    for rank, each in enumerate(remedies, start=1):
        RemedyOptionFactory.create(fault=made, remedy=each, rank=rank)
    return made


def inspected(*faults: Fault, finished: bool = True, **bike: Any) -> Inspection:
    """Return an inspection, finished by default, that found the faults."""
    by = UserFactory.create()
    stage = Stage.INSPECTED if finished else Stage.INSPECTING
    inspection = InspectionFactory.create(
        bike=BikeFactory.create(stage=stage, **bike), started_by=by
    )
    checks: dict[int, Check] = {}
    for each in faults:
        if each.checkpoint_id not in checks:
            checks[each.checkpoint_id] = CheckFactory.create(
                inspection=inspection, checkpoint=each.checkpoint, outcome=Outcome.FINDINGS
            )
        FindingFactory.create(fault=each, check_made=checks[each.checkpoint_id])
    if finished:
        inspection.finished_at, inspection.finished_by = timezone.now(), by
        inspection.save()
    return inspection


def draft(*faults: Fault, by: User | None = None, **bike: Any) -> Revision:
    """Return the draft of a quote for a bike on which the faults were found."""
    if not VatRate.objects.exists():
        priced_shop()
    found = faults or (
        fault("hub-play", remedy("hub-adjust", part="hub-cones", access="wheel-out")),
    )
    return start_quote(inspected(*found, **bike), by or UserFactory.create(manager=True))


def many(count: int, *, name: str = "many", access: str = "wheel-out") -> list[Fault]:
    """Return faults that each have a remedy with a part, all behind one access step.

    They are found at forty checkpoints at most, as on a bike.
    """
    return [
        fault(
            f"{name}-fault-{n}",
            remedy(f"{name}-remedy-{n}", part=f"{name}-part-{n}", access=access),
            checkpoint=CheckpointFactory.create(code=f"{name}-point-{n % 40}"),
        )
        for n in range(count)
    ]


def row_of(revision: Revision, code: str) -> QuotedFinding:
    """Return a revision's finding of the fault with that code."""
    return QuotedFinding.objects.get(revision=revision, finding__fault__code=code)
