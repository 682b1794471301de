"""Lists and pages of parts at a hundred and at a hundred thousand: as many queries, few bytes."""

import pytest
from django.urls import reverse

from inventory.parts.models import Part
from inventory.search.selectors import parts_found
from inventory.stock.checking import problems
from inventory.suppliers.models import Supplier
from tests.asking import queries_of
from tests.factories.longstock import long_stock
from tests.factories.people import sign_in

pytestmark = pytest.mark.django_db

LIST = reverse("stock:list")
CATALOGUE = reverse("catalogue:list", args=("parts",))
SEARCHES = ("spoke 5", "speich", "p 0", "nothing like it", "atch", "w1")
LISTS = (
    (LIST, {}),
    (LIST, {"page": "4"}),
    (LIST, {"sort": "-worth", "short": "on"}),
    (LIST, {"place": "a01"}),
    *((LIST, {"q": text}) for text in SEARCHES),
    (LIST, {"export": "csv", "q": "spoke 5"}),
    (LIST, {"export": "xlsx", "q": "spoke 5"}),
    (CATALOGUE, {}),
    (CATALOGUE, {"q": "spoke", "sort": "-price_net"}),
    (CATALOGUE, {"export": "csv", "q": "spoke 5"}),
    (reverse("catalogue:new", args=("remedies",)), {}),
    (reverse("stock:offers"), {"part": "spoke"}),
    (reverse("stock:report"), {}),
    (reverse("stock:report"), {"day": "2026-01-31", "days": "10"}),
    (reverse("stock:stocktakes"), {}),
    (reverse("purchasing:short"), {}),
    (reverse("purchasing:points"), {}),
    (reverse("suppliers:list"), {}),
)


def pages_of_one():
    """Return the pages of a part that somebody sells, and of who sells it."""
    part, maker = Part.objects.get(code="p-000010"), Supplier.objects.order_by("pk")[0]
    names = ("stock:part", "stock:facts", "stock:fit")
    moves = [reverse("stock:move", args=(part.pk, kind)) for kind in ("goods-in", "draw", "return")]
    return [
        *(reverse(name, args=(part.pk,)) for name in names),
        *moves,
        reverse("catalogue:edit", args=("parts", part.pk)),
        reverse("suppliers:detail", args=(maker.pk,)),
        reverse("suppliers:articles", args=(maker.pk,)),
    ]


def test_pages_run_as_many_queries_at_a_hundred_thousand_parts_as_at_a_hundred(client):
    sign_in(client, manager=True)
    long_stock(100)
    pages = [*LISTS, *((url, {}) for url in pages_of_one())]
    few = [queries_of(client, url, **query) for url, query in pages]
    long_stock(99_900)
    many = [queries_of(client, url, **query) for url, query in pages]
    differing = [(page, a, b) for page, a, b in zip(pages, few, many, strict=True) if a != b]
    assert differing == []
    assert parts_found(Part.objects.all(), "p-099999").count() == 1
    assert list(problems()) == []
