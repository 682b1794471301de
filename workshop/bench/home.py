"""What the bench adds to the first page: promises late or due next, and what stops them."""

from __future__ import annotations

from django.http import HttpRequest

from workshop.bench.board import board_of
from workshop.bench.promising import forecast_now
from workshop.bench.standing import open_cards
from workshop.people.panels import Panel
from workshop.people.policy import allowed
from workshop.people.selectors import person_of
from workshop.shop.selectors import shop_of

MOST = 8


def promises_panel(request: HttpRequest) -> Panel | None:
    """Return the promises to look after, for those who give them; None where there are none."""
    if not allowed(person_of(request).role, "bench:promise", "POST"):
        return None
    if not open_cards().filter(promised_on__isnull=False).exists():
        return None
    board = board_of(forecast_now(shop_of(request)))
    rows = board.pressing
    if not rows:
        return None
    context = {"rows": rows[:MOST], "count": len(rows), "has_hours": board.forecast.has_hours}
    return Panel("Promises to look after", "workshop/bench/home_panel.html", context, 2)
