"""What this room shows on a bike's page and on the first page."""

from __future__ import annotations

from django.http import HttpRequest
from django.urls import reverse

from quotes.sales.models import Purchase
from quotes.sales.selectors.book import reversal_of
from quotes.sales.selectors.left import left_of
from quotes.sales.selectors.standing import (
    check_to_enter,
    checks_to_enter,
    in_stock,
    reasons_not_to_sell,
    standing_sale,
)
from workshop.bikes.models import Bike, Purpose, Stage
from workshop.bikes.panels import Action, Panel
from workshop.people import panels as home
from workshop.people.policy import allowed
from workshop.people.selectors import person_of

TO_ENTER = frozenset({Stage.BOUGHT, Stage.RELEASED})


def stock_panel(request: HttpRequest, bike: Bike) -> Panel | None:
    """Return how a bike stands in the stock book, for the office; None for a customer's bike."""
    role = person_of(request).role
    if not allowed(role, "sales:list") or bike.purpose != Purpose.BUY_IN:
        return None
    purchase = Purchase.objects.filter(bike=bike).select_related("reversal").last()
    waiting = check_to_enter(bike)
    if purchase is None and waiting is None:
        return None
    sale = standing_sale(purchase) if purchase else None
    gone = reversal_of(purchase) if purchase else None
    actions: list[Action] = []
    reasons: list[str] = []
    if waiting and allowed(role, "sales:buy", "POST"):
        url = reverse("sales:buy", args=(bike.pk,))
        actions.append(Action("Enter the purchase", url, next_at=TO_ENTER))
    if purchase and not (sale or waiting or gone):
        reasons = reasons_not_to_sell(bike)
        if not reasons and allowed(role, "sales:sell", "POST"):
            url = reverse("sales:sell", args=(purchase.number,))
            actions.append(Action("Sell it", url, next_at=frozenset({Stage.RELEASED})))
    context = {
        "purchase": purchase,
        "waiting": waiting,
        "sale": sale,
        "left": left_of(sale) if sale else None,
        "reversal": gone,
        "reasons": reasons,
    }
    return Panel(
        "Stock book", "quotes/sales/bike_panel.html", context, order=65, actions=tuple(actions)
    )


def home_panel(request: HttpRequest) -> home.Panel | None:
    """Return how many bikes are for sale, and how many bought ones the book lacks."""
    role = person_of(request).role
    if not allowed(role, "sales:list"):
        return None
    stock = list(in_stock().values_list("bike__stage", flat=True))
    lacking = checks_to_enter().count()
    if not stock and not lacking:
        return None
    context = {
        "count": len(stock),
        "ready": sum(stage == "released" for stage in stock),
        "lacking": lacking,
    }
    return home.Panel("Bikes for sale", "quotes/sales/home_panel.html", context, order=60)
