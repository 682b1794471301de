"""Selling a bike on a phone at the counter, with and without JavaScript."""

from __future__ import annotations

import datetime as dt

import pytest
from django.utils import timezone

from quotes.sales.models import Sale
from tests.browser.pages import sign_in
from tests.conftest import PHONE
from tests.factories.people import UserFactory
from tests.factories.sales import LEGEND, in_stock

pytestmark = pytest.mark.browser


@pytest.fixture
def for_sale(transactional_db):
    """A bike in stock and released, and somebody at the desk."""
    bought_on = timezone.localdate() - dt.timedelta(days=20)
    return in_stock(price="600", bought_on=bought_on), UserFactory.create(desk=True)


def sell(page, row):
    """Sell the bike as the desk does."""
    page.goto("/sales/?stands=stock")
    page.get_by_role("link", name=row.bike.stock_no).first.click()
    page.get_by_role("link", name="Sell it").click()
    page.get_by_label("Price of the bike").fill("£900")
    page.get_by_label("Buyer’s name").fill("Ben Frost")
    page.get_by_label("Buyer’s address").fill("8 Quay")
    page.get_by_role("button", name="Sell and make the invoice").click()
    page.get_by_role("link", name="Invoice SI0001").wait_for()


def test_the_desk_sells_a_bike_on_a_phone(phone_page, for_sale):
    row, person = for_sale
    sign_in(phone_page, person)
    sell(phone_page, row)
    sale = Sale.objects.get()
    assert (sale.price, sale.vat, sale.legend) == (900, 50, LEGEND)
    shown = phone_page.content()
    assert "Ben Frost" in shown
    assert "£600.00" not in shown
    answer = phone_page.request.get(
        phone_page.get_by_role("link", name="Invoice SI0001").evaluate("link => link.href")
    )
    assert answer.body().startswith(b"%PDF")


def test_without_javascript_the_desk_sells_all_the_same(chromium, live_server, for_sale):
    row, person = for_sale
    context = chromium.new_context(base_url=live_server.url, java_script_enabled=False, **PHONE)
    page = context.new_page()
    sign_in(page, person)
    sell(page, row)
    context.close()
    assert Sale.objects.get().purchase == row
