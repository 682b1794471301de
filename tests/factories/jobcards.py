"""Job cards as tests want them: opened by the shop's own verb from plain data."""

from __future__ import annotations

from decimal import Decimal
from itertools import count
from typing import Any

from inventory.parts.models import Part
from tests.factories.bikes import BikeFactory
from tests.factories.inspections import (
    CheckFactory,
    CheckpointFactory,
    FaultFactory,
    FindingFactory,
    InspectionFactory,
)
from tests.factories.labour import AccessStepFactory, OperationFactory
from tests.factories.people import UserFactory
from tests.factories.stock import stocked
from workshop.bikes.models import Purpose, Stage
from workshop.inspections.models import Finding, Inspection
from workshop.jobcards.asked import DeclinedAsked, PartAsked, TaskAsked, WorkAsked
from workshop.jobcards.models import JobCard, ReleaseItem, Task, TaskPart
from workshop.jobcards.verbs.open_card import open_card
from workshop.jobcards.verbs.open_check import open_check
from workshop.people.models import User

_keys = count(1)


def a_key() -> str:
    """Return a key that nobody has sent yet."""
    return f"key-{next(_keys)}"


def inspected_bike(**bike: Any) -> Inspection:
    """Return a finished inspection of a bike that was accepted for work."""
    made = BikeFactory.create(stage=Stage.ACCEPTED, **bike)
    return InspectionFactory.create(
        bike=made, finished_at="2026-01-05T10:00:00Z", finished_by=UserFactory.create()
    )


def own_bike(**bike: Any) -> Inspection:
    """Return a finished inspection of a bike that the shop bought."""
    made = BikeFactory.create(purpose=Purpose.BUY_IN, stage=Stage.BOUGHT, **bike)
    return InspectionFactory.create(
        bike=made, finished_at="2026-01-05T10:00:00Z", finished_by=UserFactory.create()
    )


def a_check(*, by: User | None = None, **bike: Any) -> JobCard:
    """Return an open card for the release check alone."""
    return open_check(own_bike(**bike).bike, by=by or UserFactory.create(desk=True))


def found(inspection: Inspection, code: str, **fields: Any) -> Finding:
    """Return a finding of the inspection at a checkpoint of its own."""
    point = CheckpointFactory.create(code=f"{code}-point")
    fault = FaultFactory.create(code=code, checkpoint=point, **fields)
    check = CheckFactory.create(inspection=inspection, checkpoint=point, outcome="findings")
    return FindingFactory.create(fault=fault, check_made=check)


def operation(code: str, *access: str, **fields: Any) -> str:
    """Make an operation behind access steps and return its code."""
    steps = [AccessStepFactory.create(code=step) for step in access]
    OperationFactory.create(code=code, access=steps, **fields)
    return code


def asked(
    *codes: str,
    parts: tuple[tuple[str, Part, object], ...] = (),
    declined: tuple[DeclinedAsked, ...] = (),
    findings: dict[str, Finding] | None = None,
    revision: int = 1,
    quote: str = "Q0001",
) -> WorkAsked:
    """Return work as a quote asks for it: operations by code, parts as (code, part, quantity)."""
    found_by = findings or {}
    return WorkAsked(
        quote_number=quote,
        revision_number=revision,
        revision_key=revision + next(_keys) * 1000,
        tasks=tuple(
            TaskAsked(
                code,
                code.replace("-", " ").capitalize(),
                Decimal(10),
                (found_by[code].pk,) if code in found_by else (),
            )
            for code in codes
        ),
        parts=tuple(PartAsked(code, part.pk, Decimal(str(much))) for code, part, much in parts),
        declined=declined,
        findings=frozenset(each.pk for each in found_by.values()),
    )


def a_card(work: WorkAsked | None = None, *, by: User | None = None, **more: Any) -> JobCard:
    """Return an open card: by default the hub and the rim behind one wheel, with two cones."""
    inspection = more.pop("inspection", None) or inspected_bike()
    if work is None:
        operation("hub", "wheel-out", torque_low_nm=Decimal(17), torque_high_nm=Decimal(25))
        operation("rim", "wheel-out")
        work = asked("hub", "rim", parts=(("hub", stocked(5, code="cones"), 2),))
    person = by or UserFactory.create(desk=True)
    return open_card(inspection.bike, inspection, work, by=person, **more)


def task_of(card: JobCard, code: str, kind: str = "work") -> Task:
    """Return a card's task by code."""
    return Task.objects.filter(card=card, code=code, kind=kind).latest("pk")


def row_of(card: JobCard, part: str) -> TaskPart:
    """Return a card's part by code."""
    return TaskPart.objects.get(task__card=card, part__code=part)


def release_item(code: str, **fields: Any) -> ReleaseItem:
    """Return an item of the release check."""
    name = code.replace("-", " ").capitalize()
    return ReleaseItem.objects.create(code=code, name=name, how="Look at it.", **fields)
