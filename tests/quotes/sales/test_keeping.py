"""Names in the stock book go when the rules say so; rows, invoices and sums stay."""

import datetime as dt
import io

import pytest
from django.core.management import call_command
from django.test import Client
from django.urls import reverse

from quotes.provenance.models import RetentionKind, RetentionRule
from quotes.provenance.retention.plan import plan_on
from quotes.provenance.verbs.apply_retention import apply_retention
from quotes.sales.models import Paper, Party, Purchase, Sale
from quotes.sales.selectors.book import Days, book_of
from tests.factories.people import sign_in
from tests.factories.provenance import rules
from tests.factories.sales import bought, returned, reversed_, sold

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shop")]

SELLER, BUYER = RetentionKind.BOOK_SELLER, RetentionKind.BOOK_BUYER
# sold on 5 March 2026
LAST_DAY, FIRST_DUE = dt.date(2032, 3, 5), dt.date(2032, 3, 6)


@pytest.fixture(autouse=True)
def _rules(db):
    rules(book_seller=72, book_buyer=72)


def test_names_are_due_six_years_after_the_sale_and_not_before():
    sold()
    assert plan_on(LAST_DAY).count == 0
    plan = plan_on(FIRST_DUE)
    assert (len(plan.pks(SELLER)), len(plan.pks(BUYER))) == (1, 1)


def test_without_a_rule_nothing_is_due():
    sold()
    RetentionRule.objects.all().delete()
    assert plan_on(dt.date(2100, 1, 1)).count == 0


def test_as_long_as_the_bike_is_here_its_sellers_name_is_too():
    bought()
    sale = sold()
    returned(sale)
    plan = plan_on(dt.date(2060, 1, 1))
    assert plan.pks(SELLER) == []
    assert plan.pks(BUYER) == [sale.buyer.pk]


def test_a_return_counts_from_its_own_day():
    returned(sold())
    assert plan_on(dt.date(2032, 4, 7)).pks(BUYER) == []
    assert len(plan_on(dt.date(2032, 4, 8)).pks(BUYER)) == 1


def test_what_is_deleted_is_gone_and_the_book_still_adds_up():
    sale = sold(price="900")
    before = book_of(Days()).sums
    run = apply_retention(FIRST_DUE)
    assert run.names_deleted == 2
    assert not Party.objects.exists()
    assert not Paper.objects.filter(purchase__isnull=False).exists()
    assert Paper.objects.filter(sale=sale).exists()
    book = book_of(Days())
    assert book.sums == before
    assert (book.rows[0].seller, book.rows[0].buyer) == ("deleted, retention",) * 2
    assert (Purchase.objects.count(), Sale.objects.count()) == (1, 1)


def test_the_pages_say_that_names_were_deleted():
    sale = sold()
    apply_retention(FIRST_DUE)
    client = Client()
    sign_in(client, manager=True)
    page = client.get(reverse("sales:row", args=(sale.purchase.number,))).content.decode()
    assert page.count("deleted, as retention asks") == 2
    receipt = reverse("sales:receipt", args=(sale.purchase.number,))
    assert client.get(receipt).status_code == 404


def test_the_command_names_what_is_due_and_what_is_kept(monkeypatch):
    sale = sold()
    monkeypatch.setattr("django.utils.timezone.localdate", lambda *_: FIRST_DUE)
    out = io.StringIO()
    call_command("retention", stdout=out)
    text = out.getvalue()
    assert f"Ada Moss, {sale.purchase}" in text
    assert f"Ben Frost, {sale}" in text
    assert f"{sale}: the PDF of the invoice" in text
    call_command("retention", "--apply", stdout=out)
    assert "2 names in the stock book deleted" in out.getvalue()


def test_who_stands_in_a_reversed_purchase_is_due_from_that_day():
    row = bought()
    seller = row.seller.pk
    reversed_(row)
    assert plan_on(dt.date(2032, 5, 20)).pks(SELLER) == []
    assert plan_on(dt.date(2032, 5, 21)).pks(SELLER) == [seller]
