"""Several people buy and sell at once: numbers run without gaps, a bike is sold once."""

import threading

import pytest
from django.db import connection

from quotes.sales.errors import SalesError
from quotes.sales.models import Purchase, Sale
from quotes.sales.verbs.sell import sell
from tests.factories.people import UserFactory
from tests.factories.sales import bought, deal, decided, in_stock, trading_shop

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.postgres]

PEOPLE = 6


def all_at_once(acts):
    """Run the acts each in a thread of its own, begun together; return what they raised."""
    start, raised = threading.Barrier(len(acts)), []

    def run(act):
        try:
            start.wait()
            act()
        except SalesError as error:
            raised.append(error)
        finally:
            connection.close()

    threads = [threading.Thread(target=run, args=(act,)) for act in acts]
    for each in threads:
        each.start()
    for each in threads:
        each.join()
    return raised


def test_numbers_of_invoices_run_without_gaps():
    shop = trading_shop()
    by = UserFactory.create(desk=True)
    rows = [in_stock() for _ in range(PEOPLE)]
    acts = [lambda row=row: sell(row, deal(), by=by, shop=shop) for row in rows]
    assert all_at_once(acts) == []
    numbers = sorted(Sale.objects.values_list("number", flat=True))
    assert numbers == [f"SI{each:04}" for each in range(1, PEOPLE + 1)]


def test_of_many_who_sell_one_bike_one_does():
    shop = trading_shop()
    by = UserFactory.create(desk=True)
    row = in_stock()
    raised = all_at_once([lambda: sell(row, deal(), by=by, shop=shop)] * PEOPLE)
    assert len(raised) == PEOPLE - 1
    assert Sale.objects.get().number == "SI0001"
    assert all("sold already" in str(each) for each in raised)


def test_a_decision_entered_twice_at_once_opens_one_row():
    check = decided()
    trading_shop()
    raised = all_at_once([lambda: bought(check=check)] * 2)
    assert len(raised) == 1
    assert Purchase.objects.get().receipt_no == "PR0001"
