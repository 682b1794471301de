"""What this room shows on a bike's page: its margin checks, and the way to a new one."""

from __future__ import annotations

from django.http import HttpRequest
from django.urls import reverse

from quotes.buyin.outcome import VERDICTS
from quotes.buyin.selectors import checks_of
from quotes.buyin.tables import DECISION_STAGES
from workshop.bikes.models import Bike, Purpose
from workshop.bikes.panels import Action, Panel
from workshop.people.policy import allowed
from workshop.people.selectors import person_of, sees_costs


def margin_panel(request: HttpRequest, bike: Bike) -> Panel | None:
    """Return the margin checks of a bike, for those who may see costs and open them."""
    role = person_of(request).role
    if not (sees_costs(request) and allowed(role, "buyin:decision")):
        return None
    rows = checks_of(bike)
    if not rows and bike.purpose != Purpose.BUY_IN:
        return None
    checks = [(row, VERDICTS[row.verdict][0], DECISION_STAGES[row.decision]) for row in rows]
    address = reverse("buyin:decision", args=(bike.pk,))
    actions = (Action("Decide whether to buy", address),)
    context = {"checks": checks, "bike": bike}
    return Panel(
        "Margin checks", "quotes/buyin/bike_panel.html", context, order=30, actions=actions
    )
