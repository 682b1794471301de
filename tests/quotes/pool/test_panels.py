"""The pool on the first page."""

import pytest
from django.urls import reverse

from tests.factories.people import sign_in
from tests.factories.pool import british_pool, entry
from tests.factories.shop import ShopFactory

pytestmark = pytest.mark.django_db


def home_of(client, **role):
    sign_in(client, **role)
    return " ".join(client.get(reverse("home")).content.decode().split())


def test_the_manager_sees_what_is_due_so_far_and_what_waits(client):
    british_pool()
    entry("sale", "2026-05-02", "120")
    page = home_of(client, manager=True)
    assert "<strong>£20.00</strong> VAT so far" in page
    assert "5 periods ended" in page


def test_without_a_pool_nothing_is_shown(client):
    ShopFactory.create()
    assert "Global accounting" not in home_of(client, manager=True)


@pytest.mark.parametrize("role", [{"desk": True}, {}])
def test_who_may_not_open_the_pool_is_not_shown_it(client, role):
    british_pool()
    assert "Global accounting" not in home_of(client, **role)
