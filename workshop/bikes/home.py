"""What bikes add to the first page: those that wait, and how many stand at each stage."""

from __future__ import annotations

from django.db.models import QuerySet
from django.http import HttpRequest
from django.urls import reverse

from workshop.bikes.models import Bike, Stage
from workshop.bikes.selectors import bikes_at, counts_by_stage
from workshop.people.models import Role
from workshop.people.panels import Panel
from workshop.people.selectors import person_of

MOST = 6
TEMPLATE = "workshop/bikes/home_waiting.html"


def to_inspect_panel(request: HttpRequest) -> Panel | None:
    """Return the bikes that wait for an inspection, for those who walk round bikes."""
    if person_of(request).role == Role.ACCOUNTANT:
        return None
    return waiting_panel("To be inspected", Stage.BOOKED_IN, order=10)


def to_quote_panel(request: HttpRequest) -> Panel | None:
    """Return the bikes inspected that wait for a quote or a decision, for the office."""
    if person_of(request).role not in {Role.MANAGER, Role.DESK}:
        return None
    return waiting_panel("Inspected, to be quoted", Stage.INSPECTED, order=25)


def waiting_panel(title: str, stage: Stage, order: int) -> Panel | None:
    """Return the bikes at a stage, longest here first; None where there is none."""
    bikes: QuerySet[Bike] = bikes_at(stage)
    shown = list(bikes[:MOST])
    if not shown:
        return None
    context = {"bikes": shown, "count": bikes.count(), "all": list_at(stage)}
    return Panel(title, TEMPLATE, context, order)


def stages_panel(request: HttpRequest) -> Panel:
    """Return how many bikes stand at each stage."""
    counts = counts_by_stage()
    stages = [(stage, count, list_at(stage)) for stage, count in counts.items()]
    context = {"stages": stages, "total": sum(counts.values())}
    return Panel("Bikes by stage", "workshop/bikes/home_stages.html", context, order=90)


def list_at(stage: Stage) -> str:
    """Return the address of the list narrowed to a stage."""
    return f"{reverse('bikes:list')}?stage={stage.value}"
