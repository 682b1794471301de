"""What this room adds to other pages: the way to what a bike should bring, and to the prices."""

from __future__ import annotations

from django.db.models import Count, Max
from django.http import HttpRequest

from quotes.resale.models import Comparable
from workshop.bikes.models import Bike, Purpose
from workshop.bikes.panels import Panel
from workshop.people import panels as home
from workshop.people.policy import allowed
from workshop.people.selectors import person_of


def resale_panel(request: HttpRequest, bike: Bike) -> Panel | None:
    """Return the way to the resale price of a bike that is offered, for those who may open it."""
    if bike.purpose != Purpose.BUY_IN or not allowed(person_of(request).role, "resale:bike"):
        return None
    return Panel("Resale price", "quotes/resale/bike_panel.html", {"bike": bike}, order=35)


def home_panel(request: HttpRequest) -> home.Panel | None:
    """Return how many prices are known, with the way to them."""
    if not allowed(person_of(request).role, "resale:list"):
        return None
    context = Comparable.objects.aggregate(count=Count("pk"), latest=Max("seen_on"))
    return home.Panel("Comparables", "quotes/resale/home_panel.html", context, order=70)
