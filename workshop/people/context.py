"""What every page needs to know about the person: where they may go, what they may see."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest
from django.urls import reverse

from workshop.people.policy import allowed
from workshop.shop.selectors import shop_of

PLACES = (
    ("home", "Today"),
    ("bikes:list", "Bikes"),
    ("jobcards:list", "Job cards"),
    ("bench:board", "Bench"),
    ("quoting:list", "Quotes"),
    ("buyin:list", "Buy-in"),
    ("sales:list", "Sales"),
    ("customers:list", "Customers"),
    ("stock:list", "Stock"),
    ("catalogue:index", "Catalogue"),
    ("shop:edit", "Shop"),
)


@dataclass(frozen=True, slots=True)
class Place:
    """An entry of the menu."""

    url: str
    label: str
    current: bool


class Permissions:
    """``{% if may.quoting__send %}`` in templates: may this person open or send to that URL?

    The URL name is written with ``__`` for ``:``. A URL that is only written to is asked for
    writing, any other for reading; ``write__quoting__send`` asks for writing expressly.
    """

    def __init__(self, role: str) -> None:
        """Keep the role asked about."""
        self.role = role

    def __getitem__(self, key: str) -> bool:
        """Answer for a URL name."""
        wants_write = key.startswith("write__")
        name = key.removeprefix("write__").replace("__", ":")
        if wants_write:
            return allowed(self.role, name, "POST")
        return allowed(self.role, name) or allowed(self.role, name, "POST")


def navigation(request: HttpRequest) -> dict[str, Any]:
    """Give templates ``nav``, ``may`` and ``sees_costs`` for the person signed in."""
    user = getattr(request, "user", None)
    if user is None or not user.is_authenticated:
        return {"nav": (), "may": Permissions(""), "sees_costs": False}
    match = request.resolver_match
    here = match.view_name.partition(":")[0] if match else ""
    nav = tuple(
        Place(reverse(name), label, name.partition(":")[0] == here)
        for name, label in PLACES
        if allowed(user.role, name)
    )
    return {
        "nav": nav,
        "may": Permissions(user.role),
        "sees_costs": user.may_see_costs(shop_of(request)),
    }
