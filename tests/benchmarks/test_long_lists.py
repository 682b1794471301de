"""Pages of stock over a hundred thousand parts, and all of them as a file."""

from __future__ import annotations

import statistics
import time

import pytest
from django.db import connection
from django.urls import reverse

from inventory.parts.changing import PriceRule, Wish
from inventory.parts.models import Part
from inventory.parts.verbs.change_many import change_many, tallied
from tests.factories.longstock import long_stock
from tests.factories.people import sign_in
from tests.factories.shop import ShopFactory, vat_rates

pytestmark = [pytest.mark.benchmark, pytest.mark.django_db]
PARTS = 100_000
ROUNDS = 5
LIST, MANY = reverse("stock:list"), reverse("stock:many")
ASKED = {
    "list, first page": (LIST, {}),
    "list, page 2,000": (LIST, {"page": "2000"}),
    "list, by worth": (LIST, {"sort": "-worth"}),
    "list, what is short": (LIST, {"short": "on"}),
    "list, a place": (LIST, {"place": "a01"}),
    "search, one word": (LIST, {"q": "speich"}),
    "search, two words": (LIST, {"q": "spoke 5"}),
    "search, letter and code": (LIST, {"q": "p 0999"}),
    "search, within words": (LIST, {"q": "atch"}),
    "search, nothing": (LIST, {"q": "no such thing"}),
    "offers while typing": (reverse("stock:offers"), {"part": "spoke"}),
    "report": (reverse("stock:report"), {}),
    "what is short, to order": (reverse("purchasing:short"), {}),
}


def test_pages_over_a_hundred_thousand_parts(client):
    ShopFactory.create()
    vat_rates()
    person = sign_in(client, manager=True)
    start = time.perf_counter()
    long_stock(PARTS)
    say(f"{PARTS:,} parts entered", time.perf_counter() - start)
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE")
    print(f"\npages, median of {ROUNDS}, on {connection.vendor}")  # noqa: T201 - printing is what it is for
    for name, (url, query) in ASKED.items():
        say(name, statistics.median(timed(client, url, query) for _ in range(ROUNDS)))
    for kind in ("csv", "xlsx"):
        say(f"list as {kind}, whole", timed(client, LIST, {"export": kind}))
    keys, wish = list(Part.objects.values_list("pk", flat=True)[:10_000]), Wish(PriceRule.OWN)
    start = time.perf_counter()
    tally = tallied(keys, wish)
    say("10,000 prices looked over", time.perf_counter() - start)
    start = time.perf_counter()
    change_many(keys, wish, seal=tally.seal, by=person)
    say("10,000 prices changed", time.perf_counter() - start)


def timed(client, url, query):
    start = time.perf_counter()
    response = client.get(url, query)
    if response.streaming:
        b"".join(response.streaming_content)
    assert response.status_code == 200
    return time.perf_counter() - start


def say(what, seconds):
    print(f"  {what:<28} {seconds * 1000:8.0f} ms")  # noqa: T201 - printing is what it is for
