"""Asking the site in tests: what a page says, how many queries it runs, who is shown costs."""

from __future__ import annotations

import re
from typing import Any

from django.db import connection
from django.http import HttpResponse
from django.test import Client
from django.test.utils import CaptureQueriesContext

from tests.factories.people import sign_in
from workshop.people.models import Role
from workshop.shop.models import Shop


def text_of(response: HttpResponse) -> str:
    """Return a page, tags and all, in one line: each run of white space as one space."""
    return " ".join(response.content.decode().split())


def key_on(client: Client, url: str, **query: str) -> str:
    """Return the hidden key of the form that a page offers."""
    response: Any = client.get(url, query)
    found = re.search(r'name="key" value="([^"]+)"', text_of(response))
    assert found, f"{url} offers no form with a key"
    return found[1]


def filled_in(client: Client, url: str, **fields: Any) -> dict[str, Any]:
    """Return the fields of the form at a URL filled in, with the hidden key that comes with it."""
    return {"key": key_on(client, url)} | fields


def queries_of(client: Client, url: str, **query: str) -> int:
    """Return how many queries a page, or a file read to its end, runs; it must answer 200."""
    with CaptureQueriesContext(connection) as queries:
        response: Any = client.get(url, query)
        if response.streaming:
            b"".join(response.streaming_content)
    assert response.status_code == 200, (url, response.status_code)
    return len(queries)


def shown_to(url: str, role: Role, text: str) -> bool:
    """Tell whether a person of the role reads the text at the URL; False where it is refused."""
    client = Client()
    sign_in(client, role=role)
    return text in client.get(url).content.decode()


def assert_only_who_may_sees_costs(url: str, *costs: str) -> None:
    """See that these texts, all costs or margins, are shown to nobody who may not see costs.

    The manager and the accountant read each of them where they may open the page (the manager
    must), the front desk never, a mechanic only once the manager allows it.
    """
    Shop.objects.update_or_create(pk=1, defaults={"mechanics_see_costs": False})
    for cost in costs:
        assert shown_to(url, Role.MANAGER, cost), f"the manager does not see {cost!r} at {url}"
        assert not shown_to(url, Role.DESK, cost), f"the desk sees {cost!r} at {url}"
        assert not shown_to(url, Role.MECHANIC, cost), f"a mechanic sees {cost!r} at {url}"


def assert_mechanics_see_costs_once_allowed(url: str, *costs: str) -> None:
    """See that a mechanic reads these costs when the manager has allowed it."""
    Shop.objects.update_or_create(pk=1, defaults={"mechanics_see_costs": True})
    for cost in costs:
        assert shown_to(url, Role.MECHANIC, cost), f"a mechanic does not see {cost!r} at {url}"
