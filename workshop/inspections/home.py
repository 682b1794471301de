"""What inspections add to the first page: those under way, to be gone on with."""

from __future__ import annotations

from django.db.models import Count, Max, QuerySet
from django.http import HttpRequest

from workshop.inspections.models import Inspection
from workshop.people.panels import Panel
from workshop.people.policy import allowed
from workshop.people.selectors import person_of

MOST = 6


def under_way() -> QuerySet[Inspection]:
    """Return the open inspections with ``done`` checks and ``last_at``, last touched first."""
    rows = Inspection.objects.filter(finished_at__isnull=True).select_related("bike", "started_by")
    counted = rows.annotate(done=Count("checks"), last_at=Max("checks__at"))
    return counted.order_by("-last_at", "-pk")


def under_way_panel(request: HttpRequest) -> Panel | None:
    """Return the inspections to go on with, for those who walk round bikes."""
    if not allowed(person_of(request).role, "inspections:walk"):
        return None
    rows = under_way()
    shown = list(rows[:MOST])
    if not shown:
        return None
    context = {"inspections": shown, "count": rows.count()}
    return Panel("Inspections to go on with", "workshop/inspections/home_panel.html", context, 5)
