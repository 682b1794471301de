"""A list page beside a plain template that gives the same bytes."""

from __future__ import annotations

import re

import pytest
from django.template import Context, Engine
from django.urls import reverse

from inventory.lists import ROWS_A_PAGE
from tests.benchmarks.timing import compare
from tests.factories.bikes import BikeFactory
from tests.factories.people import UserFactory
from tests.factories.shop import ShopFactory
from workshop.bikes.selectors import bikes_for_list

pytestmark = [pytest.mark.benchmark, pytest.mark.django_db]
CELL = re.compile(r"<td[^>]*>(.*?)</td>", re.DOTALL)


def plain_page(html: str):
    """Return a function that renders the same page from a template with two plain loops.

    Like the list it reads the bikes from the database; what stands in the cells is given.
    """
    start, end = html.index("<tbody>") + len("<tbody>"), html.index("</tbody>")
    rows = [CELL.findall(row) for row in html[start:end].split("</tr>") if row]
    opening = re.findall(r"<td[^>]*>", html[start:end].split("</tr>", maxsplit=1)[0])
    cells = "".join(f"{tag}{{{{ row.{n}|safe }}}}</td>" for n, tag in enumerate(opening))
    loop = f"{{% for row in rows %}}<tr>{cells}</tr>{{% endfor %}}"
    template = Engine().from_string(f"{{{{ head|safe }}}}{loop}{{{{ tail|safe }}}}")
    given = {"head": html[:start], "rows": rows, "tail": html[end:]}

    def render() -> str:
        list(bikes_for_list()[:ROWS_A_PAGE])
        return template.render(Context(given))

    return render


def test_list_beside_a_plain_template(client):
    ShopFactory.create()
    BikeFactory.create_batch(60)
    client.force_login(UserFactory.create(manager=True))
    address = reverse("bikes:list")

    def page():
        return client.get(address).content.decode()

    html = page()
    plain = plain_page(html)
    assert plain() == html
    title = f"{ROWS_A_PAGE} rows of bikes, {len(html) // 1024} kB; base: plain template"
    bare = reverse("password_change")
    others = {"list page, whole request": page, "page without a list": lambda: client.get(bare)}
    compare(title, plain, others, 25)
