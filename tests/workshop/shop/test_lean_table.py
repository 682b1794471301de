"""The lean table: rows become cards by their labels, headers sort, pages turn, text is escaped."""

import re
from html import unescape

import django_tables2 as tables
import pytest
from django.test import RequestFactory
from django_tables2 import RequestConfig

from workshop.bikes.models import Bike, Frame

pytestmark = pytest.mark.django_db


class Bikes(tables.Table):
    """Three columns: one plain, one of money, one that can't be sorted by."""

    stock_no = tables.Column("Stock number")
    price = tables.Column("Price", attrs={"td": {"class": "money"}, "th": {"class": "money"}})
    actions = tables.Column("", orderable=False)

    class Meta:
        """What is said when there is none."""

        empty_text = "No bikes yet"


def rows(count):
    """Return that many rows."""
    return [{"stock_no": f"S-{n:03}", "price": n, "actions": "<b>"} for n in range(count)]


def shown(count, query="", per_page=10):
    """Return the table's HTML for a query."""
    request = RequestFactory().get(f"/bikes/?{query}")
    table = Bikes(rows(count))
    RequestConfig(request, paginate={"per_page": per_page}).configure(table)
    return table.as_html(request)


def test_each_cell_carries_its_columns_name():
    """On a phone, where the header is gone, the cell still says what it holds."""
    html = shown(2)
    assert html.count('data-label="Stock number"') == 2
    assert html.count('data-label="Price" class="money"') == 2
    assert html.count('data-label=""') == 2


def test_headers_sort_and_keep_the_rest_of_the_query():
    """A header's link sorts by its column without losing the filters; none where it can't."""
    html = shown(2, "stage=sent")
    assert re.findall(r'href="\?([^"]+)"', html) == [
        "stage=sent&amp;sort=stock_no",
        "stage=sent&amp;sort=price",
    ]


@pytest.mark.parametrize(
    ("query", "said", "first"),
    [("sort=price", "ascending", "S-000"), ("sort=-price", "descending", "S-002")],
)
def test_the_order_is_said_in_words_and_kept(query, said, first):
    """Assistive technology hears the order, and the rows stand in it."""
    html = shown(3, query)
    assert html.count("aria-sort") == 1
    assert f'aria-sort="{said}"' in html
    assert re.search(r"S-\d+", html)[0] == first


@pytest.mark.parametrize(("page", "rels"), [(1, ["next"]), (2, ["prev", "next"]), (3, ["prev"])])
def test_pages_turn_and_keep_the_order(page, rels):
    """Previous and next where there is one, with the order kept."""
    html = shown(25, f"sort=price&page={page}")
    assert re.findall(r'rel="(\w+)"', html) == rels
    assert f"Page {page} of 3" in html
    assert all("sort=price" in link for link in re.findall(r'rel="\w+" href="([^"]+)"', html))


def test_one_page_has_no_page_links():
    """A short list is only a list."""
    assert "pagination" not in shown(3)


def test_cells_are_escaped():
    """Text stays text."""
    assert "<b>" not in shown(1)


def test_an_empty_list_says_so():
    """No bare header over nothing."""
    html = shown(0)
    assert "No bikes yet" in html
    assert "<table" not in html


def test_a_table_without_pages_shows_all_rows():
    """Unpaged tables work the same."""
    request = RequestFactory().get("/")
    html = Bikes(rows(30)).as_html(request)
    assert html.count("<tr>") == 31


def test_a_columns_own_rendering_is_used():
    """``render_…`` with any of its arguments, links and defaults work as the library says."""

    class Rendered(tables.Table):
        stock_no = tables.Column("Stock number", linkify=lambda record: f"/bikes/{record['id']}/")
        price = tables.Column("Price", default="to be priced by hand")

        def render_stock_no(self, value, record):
            return f"{value} of {record['id']}"

        def render_price(self, **offered):
            return f"{offered['value']} by {type(offered['column']).__name__}"

    data = [{"id": 7, "stock_no": "S-1", "price": 3}, {"id": 8, "stock_no": "S-2", "price": None}]
    html = Rendered(data).as_html(RequestFactory().get("/"))
    assert '<a href="/bikes/7/">S-1 of 7</a>' in html
    assert ">3 by Column<" in html
    assert ">to be priced by hand<" in html


@pytest.mark.parametrize("word", ["folding", "not folding"])
def test_choices_are_shown_by_their_words(word):
    """A model's field with choices shows what people read, not what is stored."""

    class OfModel(tables.Table):
        frame = tables.Column("Frame")

    bike = Bike(frame=dict(zip(Frame.labels, Frame.values, strict=True))[word])
    assert f">{word}<" in OfModel([bike]).as_html(RequestFactory().get("/"))


def test_the_lean_rows_say_what_the_librarys_own_say():
    """Cell by cell the same text as django-tables2's own rendering."""
    table = Bikes(rows(5))
    own = [str(cell) for row in table.rows for cell in row]
    html = Bikes(rows(5)).as_html(RequestFactory().get("/"))
    assert [unescape(cell) for cell in re.findall(r"<td[^>]*>(.*?)</td>", html)] == own
