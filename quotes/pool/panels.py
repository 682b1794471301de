"""What this room shows on the first page: what is due so far, and what waits to be declared."""

from __future__ import annotations

from django.http import HttpRequest
from django.utils import timezone

from quotes.pool.selectors import current_pool, pool_page
from workshop.people.panels import Panel
from workshop.people.policy import allowed
from workshop.people.selectors import person_of
from workshop.shop.selectors import shop_of


def home_panel(request: HttpRequest) -> Panel | None:
    """Return how the pool stands, where there is one, for those who may open it."""
    if not allowed(person_of(request).role, "pool:overview"):
        return None
    pool = current_pool()
    page = pool_page(pool, shop_of(request), timezone.localdate()) if pool else None
    if page is None or not page.periods or (page.left_on and not page.waiting):
        return None
    context = {"page": page, "now": page.periods[0]}
    return Panel("Global accounting", "quotes/pool/home_panel.html", context, order=80)
