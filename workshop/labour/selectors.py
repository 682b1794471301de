"""Reading labour: rates of a day, access steps and operations as the core takes them."""

from __future__ import annotations

import datetime as dt

from django.db.models import Prefetch, QuerySet

from workshop.core import access
from workshop.labour.models import (
    AccessStep,
    LabourRate,
    Operation,
    Remedy,
    RemedyOperation,
    RemedyPart,
)


def rates_on(day: dt.date) -> dict[str, LabourRate]:
    """Return the rate in force on a day by code of skill band; a band without one is not there."""
    rows = LabourRate.objects.filter(valid_from__lte=day).select_related("band")
    return {rate.band.code: rate for rate in rows.order_by("valid_from")}


def access_steps() -> dict[str, access.AccessStep]:
    """Return every access step by code, with its minutes, band and the steps that come first."""
    rows = AccessStep.objects.select_related("band").prefetch_related("needs")
    return {row.code: core_step(row) for row in rows}


def core_step(row: AccessStep) -> access.AccessStep:
    """Return a step as the core knows it; ``band`` and ``needs`` should be fetched before."""
    return access.AccessStep(
        code=row.code,
        name=row.name,
        minutes=row.minutes,
        band=row.band.code,
        needs=frozenset(step.code for step in row.needs.all()),
    )


def core_operation(row: Operation) -> access.Operation:
    """Return an operation as the core knows it.

    ``band``, ``access`` and ``covers`` should be fetched before.
    """
    return access.Operation(
        code=row.code,
        name=row.name,
        minutes=row.minutes,
        band=row.band.code,
        access=frozenset(step.code for step in row.access.all()),
        covers=frozenset(other.code for other in row.covers.all()),
    )


def remedies_with_work() -> QuerySet[Remedy]:
    """Return remedies with their operations and parts fetched, ready for pricing.

    Each has ``steps`` (with ``operation``, its band, access and covers) and ``parts`` (with
    ``part`` and ``operation``); the number of queries does not depend on how many there are.
    """
    steps = RemedyOperation.objects.select_related("operation__band").prefetch_related(
        "operation__access", "operation__covers"
    )
    parts = RemedyPart.objects.select_related("part", "operation")
    return Remedy.objects.prefetch_related(Prefetch("steps", steps), Prefetch("parts", parts))
