"""Reading bikes."""

from __future__ import annotations

from collections.abc import Mapping

from django.db.models import Count, QuerySet
from django.http import HttpRequest
from django.urls import reverse

from workshop.bikes.models import Bike, Stage, normal_frame_number
from workshop.people.policy import allowed
from workshop.people.selectors import person_of

SEARCHED = (
    "stock_no",
    "frame_number",
    "frame_key",
    "make",
    "model",
    "colour",
)
SEARCHED_OF_CUSTOMER = ("customer__name", "customer__phone")
"""Searched only for those who may see whose bikes they are: what is found tells as much."""


def sees_customers(request: HttpRequest) -> bool:
    """Tell whether the person may see whose bike it is."""
    return allowed(person_of(request).role, "customers:detail")


def bikes_for_list() -> QuerySet[Bike]:
    """Return all bikes with their customers, for one query."""
    return Bike.objects.select_related("customer")


def bike_for_page(pk: int) -> QuerySet[Bike]:
    """Return the one bike with its customer and who booked it in."""
    return Bike.objects.select_related("customer", "booked_in_by").filter(pk=pk)


def bike_scanned(code: str) -> str | None:
    """Return the page of the bike with this stock number, as its label gives it."""
    pk = Bike.objects.filter(stock_no=code.upper()).values_list("pk", flat=True).first()
    return reverse("bikes:detail", args=(pk,)) if pk else None


def bikes_at(stage: Stage) -> QuerySet[Bike]:
    """Return the bikes at a stage, longest here first."""
    return Bike.objects.filter(stage=stage).order_by("booked_in_at", "pk")


def bike_with_frame_number(text: str, *, other_than: Bike | None = None) -> Bike | None:
    """Return the bike that has this frame number, however it is spaced and dashed."""
    key = normal_frame_number(text)
    found = Bike.objects.filter(frame_key=key) if key else Bike.objects.none()
    if other_than is not None and other_than.pk:
        found = found.exclude(pk=other_than.pk)
    return found.first()


def counts_by_stage() -> Mapping[Stage, int]:
    """Return how many bikes stand at each stage, in the stages' order, zeros included."""
    rows = Bike.objects.order_by().values_list("stage").annotate(count=Count("pk"))
    counts = dict(rows)
    return {stage: counts.get(stage.value, 0) for stage in Stage}
