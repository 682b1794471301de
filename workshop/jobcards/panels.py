"""What job cards add to other pages: the card of a bike, and what is to be done today."""

from __future__ import annotations

from django.http import HttpRequest
from django.urls import reverse

from workshop.bikes.models import Bike, Stage
from workshop.bikes.panels import Action, Panel
from workshop.jobcards.models import TimeSpan
from workshop.jobcards.selectors import open_cards
from workshop.jobcards.verbs.open_check import may_stand_for_check, reasons_not_to_check
from workshop.people.panels import Panel as HomePanel
from workshop.people.policy import allowed
from workshop.people.selectors import person_of

MOST = 8


def bike_panel(request: HttpRequest, bike: Bike) -> Panel | None:
    """Return the bike's open job card with a button to it, or the way to the check alone."""
    card = open_cards().filter(bike=bike).first()
    if not allowed(person_of(request).role, "jobcards:card"):
        return None
    if card is None:
        return check_panel(request, bike)
    url = reverse("jobcards:card", args=(card.pk,))
    actions = (Action(f"Job card {card}", url, next_at=frozenset({Stage.IN_WORK, Stage.BOUGHT})),)
    template = "workshop/jobcards/bike_panel.html"
    return Panel("Job card", template, {"card": card}, order=5, actions=actions)


def check_panel(request: HttpRequest, bike: Bike) -> Panel | None:
    """Return how a bike that was bought gets released without a quote, or what forbids it."""
    role = person_of(request).role
    if not may_stand_for_check(bike) or not allowed(role, "jobcards:open_check", "POST"):
        return None
    reasons = reasons_not_to_check(bike)
    url = reverse("jobcards:open_check", args=(bike.pk,))
    look = Action("Look it over and release it", url, post=True, next_at=frozenset({Stage.BOUGHT}))
    actions = () if reasons else (look,)
    template = "workshop/jobcards/check_panel.html"
    return Panel("Release check", template, {"reasons": reasons}, order=30, actions=actions)


def home_panel(request: HttpRequest) -> HomePanel | None:
    """Return the open job cards by promise, and what this person's time runs on."""
    person = person_of(request)
    if not allowed(person.role, "jobcards:card"):
        return None
    rows = open_cards()
    shown = list(rows[:MOST])
    if not shown:
        return None
    running = TimeSpan.objects.filter(person=person, stopped_at__isnull=True)
    context = {
        "cards": shown,
        "count": rows.count(),
        "mine": running.select_related("task__card__bike").first(),
    }
    return HomePanel("Job cards", "workshop/jobcards/home_panel.html", context, 3)
