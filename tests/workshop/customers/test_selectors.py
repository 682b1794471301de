"""Finding customers at the counter."""

import pytest

from tests.factories.people import CustomerFactory
from workshop.customers.selectors import customers_with, figures_of, likely_the_same

pytestmark = pytest.mark.django_db


def test_nobody_is_found_for_nothing():
    CustomerFactory.create()
    assert customers_with("  ") == []


def test_a_phone_number_is_found_however_it_is_spaced():
    ada = CustomerFactory.create(phone="01632 960 777")
    CustomerFactory.create(phone="01632 960 778")
    assert customers_with("01632960777") == [ada]
    assert customers_with("01632-960-777") == [ada]


def test_no_more_than_asked_for_are_offered():
    CustomerFactory.create_batch(12, name="Moss")
    assert len(customers_with("moss")) == 8
    assert len(customers_with("moss", most=3)) == 3


def test_figures_of_a_phone_number():
    assert figures_of("+44 (1632) 960-777") == "441632960777"


@pytest.mark.parametrize(
    ("name", "phone", "email", "same"),
    [
        ("ada moss", "01632960777", "", True),
        ("Ada Moss", "", "ADA@example.org", True),
        ("Ada Moss", "", "", False),
        ("Ada Moss", "01632 960778", "other@example.org", False),
        ("Bo Moss", "01632960777", "ada@example.org", False),
    ],
)
def test_the_same_person_has_the_same_name_and_phone_or_email(name, phone, email, same):
    ada = CustomerFactory.create(name="Ada Moss", phone="01632 960777", email="ada@example.org")
    assert likely_the_same(name, phone, email) == ([ada] if same else [])
