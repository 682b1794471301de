"""A list as a file: what it takes in memory does not grow with its rows."""

import tracemalloc

import pytest
from django.urls import reverse

from tests.factories.longstock import long_stock
from tests.factories.people import sign_in
from tests.factories.shop import ShopFactory

pytestmark = pytest.mark.django_db
MORE_BYTES = 4 * 2**20
"""Room for one portion of rows; the rows of the long list are ten times as large."""


def peak_of(client, kind):
    """Return how many bytes the program held at once while the file was read, and its length."""
    tracemalloc.start()
    response = client.get(reverse("stock:list"), {"export": kind})
    length = sum(map(len, response.streaming_content))
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    return peak, length


@pytest.mark.parametrize("kind", ["csv", "xlsx"])
def test_twenty_thousand_rows_take_hardly_more_memory_than_two_thousand(client, kind):
    ShopFactory.create()
    sign_in(client, manager=True)
    long_stock(2000)
    few, short = peak_of(client, kind)
    long_stock(18_000)
    many, long = peak_of(client, kind)
    assert long > 5 * short
    assert many < few + MORE_BYTES
