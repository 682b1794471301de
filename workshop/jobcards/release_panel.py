"""What a bike's page shows of its releases: when, by whom, the sheet, the next check."""

from __future__ import annotations

from django.http import HttpRequest

from workshop.bikes.models import Bike
from workshop.bikes.panels import Panel
from workshop.core.cardstates import CardState
from workshop.jobcards.models import JobCard

TEMPLATE = "workshop/jobcards/release_panel.html"


def releases_of(bike: Bike) -> list[JobCard]:
    """Return the bike's released cards, the newest first."""
    rows = JobCard.objects.filter(bike=bike, state=CardState.RELEASED.value)
    return list(rows.select_related("released_by").order_by("-released_at", "-pk"))


def release_panel(request: HttpRequest, bike: Bike) -> Panel | None:
    """Return the bike's releases; None where it was never released."""
    cards = releases_of(bike)
    return Panel("Released", TEMPLATE, {"cards": cards}, order=30) if cards else None
