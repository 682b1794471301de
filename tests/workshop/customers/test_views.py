"""Pages about customers."""

import pytest
from django.urls import reverse

from tests.asking import queries_of
from tests.factories.bikes import BikeFactory
from tests.factories.people import CustomerFactory, sign_in
from workshop.customers.models import Customer

pytestmark = pytest.mark.django_db

LIST = reverse("customers:list")
NEW = reverse("customers:new")


@pytest.fixture
def desk(client):
    sign_in(client, desk=True)
    return client


def test_the_list_shows_customers_with_their_bikes_counted(desk):
    customer = CustomerFactory.create(name="Ada Moss", phone="01632 960777")
    BikeFactory.create_batch(2, customer=customer)
    page = desk.get(LIST).content.decode()
    assert "Ada Moss" in page
    assert "01632 960777" in page
    assert desk.get(LIST).context["table"].rows[0].get_cell("bike_count") == 2


@pytest.mark.parametrize("text", ["ada", "moss ada", "960777", "ADA@example"])
def test_every_word_searched_for_must_stand_somewhere(desk, text):
    CustomerFactory.create(name="Ada Moss", phone="01632 960777", email="ada@example.org")
    CustomerFactory.create(name="Moss Green")
    names = [row.record.name for row in desk.get(LIST, {"q": text}).context["table"].rows]
    assert names == ["Ada Moss"]


def test_the_list_is_sorted_by_what_is_asked_for(desk):
    for name in ("Bo", "Al", "Cy"):
        CustomerFactory.create(name=name)
    rows = desk.get(LIST, {"sort": "-name"}).context["table"].rows
    assert [row.record.name for row in rows] == ["Cy", "Bo", "Al"]


def test_the_list_runs_as_many_queries_for_many_as_for_few(desk):
    BikeFactory.create_batch(2)
    few = queries_of(desk, LIST)
    BikeFactory.create_batch(20)
    assert queries_of(desk, LIST) == few


def test_the_detail_page_runs_as_many_queries_for_many_bikes_as_for_one(desk):
    bike = BikeFactory.create()
    url = reverse("customers:detail", args=(bike.customer_id,))
    few = queries_of(desk, url)
    BikeFactory.create_batch(12, customer=bike.customer)
    assert queries_of(desk, url) == few


def test_the_detail_page_shows_their_bikes_and_offers_to_book_another_in(desk):
    bike = BikeFactory.create()
    page = desk.get(reverse("customers:detail", args=(bike.customer_id,))).content.decode()
    assert bike.stock_no in page
    assert f"{reverse('bikes:book_in')}?customer={bike.customer_id}" in page


def test_the_accountant_reads_but_is_offered_no_change(client):
    customer = CustomerFactory.create()
    sign_in(client, accountant=True)
    page = client.get(reverse("customers:detail", args=(customer.pk,))).content.decode()
    assert reverse("customers:edit", args=(customer.pk,)) not in page
    assert reverse("bikes:book_in") not in page


def test_a_new_customer_is_saved_and_shown(desk):
    response = desk.post(NEW, {"name": "Zoë Łąka 🚲", "phone": "+44 1632 960001"}, follow=True)
    customer = Customer.objects.get()
    assert response.redirect_chain[-1][0] == reverse("customers:detail", args=(customer.pk,))
    assert "Zoë Łąka 🚲 is saved." in response.content.decode()


@pytest.mark.parametrize(
    ("field", "typed", "words"),
    [
        ("name", "", "This field is required"),
        ("phone", "no phone", "“no phone” is not a phone number"),
        ("email", "ada at home", "valid email"),
    ],
)
def test_what_is_wrong_is_said_at_its_field_and_nothing_is_saved(desk, field, typed, words):
    response = desk.post(NEW, {"name": "Ada", field: typed})
    assert response.status_code == 422
    assert words in response.context["form"].errors[field][0]
    assert not Customer.objects.exists()


def test_a_customer_is_changed(desk):
    customer = CustomerFactory.create()
    desk.post(reverse("customers:edit", args=(customer.pk,)), {"name": "New Name"})
    customer.refresh_from_db()
    assert (customer.name, customer.phone) == ("New Name", "")


def test_a_customer_who_is_not_there_is_a_404(desk):
    assert desk.get(reverse("customers:detail", args=(999,))).status_code == 404
