"""Lists: a page is always shown, whatever page, order or number of rows is asked for."""

import pytest
from django.urls import reverse

from inventory.lists import ROWS_A_PAGE
from tests.factories.bikes import BikeFactory
from tests.factories.people import CustomerFactory, UserFactory, sign_in

pytestmark = pytest.mark.django_db


@pytest.fixture
def shown(client):
    """A function that returns the page number and how many rows a list shows."""
    sign_in(client, desk=True)
    people = {"customer": CustomerFactory.create(), "booked_in_by": UserFactory.create(desk=True)}
    BikeFactory.create_batch(2 * ROWS_A_PAGE + 1, **people)

    def ask(**query):
        response = client.get(reverse("bikes:list"), query)
        assert response.status_code == 200
        page = response.context["table"].page
        return page.number, len(page.object_list)

    return ask


@pytest.mark.parametrize(
    ("asked", "number"),
    [
        ("2", 2),
        ("", 1),
        ("0", 1),
        ("-1", 1),
        ("1.5", 1),
        ("first", 1),
        ("²", 1),
        ("٢", 2),
        ("4", 3),
        ("999999999", 3),
        ("9" * 400, 1),
        ("<script>", 1),
    ],
)
def test_a_page_that_does_not_exist_gives_one_that_does(shown, asked, number):
    assert shown(page=asked)[0] == number


@pytest.mark.parametrize("rows", ["0", "-1", "1000000", "x"])
def test_nobody_asks_for_more_rows_or_fewer_than_a_page_has(shown, rows):
    assert shown(per_page=rows) == (1, ROWS_A_PAGE)


@pytest.mark.parametrize("order", ["nothing", "-", "--stock_no", "customer__name", "password", ","])
def test_an_order_that_does_not_exist_changes_nothing(shown, order):
    assert shown(sort=order) == (1, ROWS_A_PAGE)


def test_a_whole_text_pasted_into_a_search_is_looked_for_by_its_first_words(client):
    sign_in(client, desk=True)
    BikeFactory.create(make="Larkfold")
    text = " ".join(["larkfold", *(f"word{n}" for n in range(1500))])
    assert client.get(reverse("bikes:list"), {"q": text}).status_code == 200


@pytest.mark.parametrize(("words", "found"), [("lark fold lark", 1), ("lark " * 50 + "elm", 0)])
def test_a_word_written_twice_counts_once(client, words, found):
    sign_in(client, desk=True)
    BikeFactory.create(make="Larkfold")
    table = client.get(reverse("bikes:list"), {"q": words}).context["table"]
    assert len(table.rows) == found
