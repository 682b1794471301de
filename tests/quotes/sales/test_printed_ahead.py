"""The stock book's papers are made before anything is held, and are those of the rows kept."""

import pytest

from inventory.paper.press import pdf_of
from quotes.sales.models import Paper
from quotes.sales.papers import credit_note_html, invoice_html, receipt_html, reduction_html
from tests.factories.paper import watched_press
from tests.factories.sales import bought, reduced, released, returned, sold, trading_shop

pytestmark = pytest.mark.django_db(transaction=True)


def test_receipt_invoice_and_credit_note(monkeypatch):
    held = watched_press(monkeypatch)
    purchase = bought()
    assert held == [False]
    sale = sold(released(purchase))
    assert held == [False] * 2
    note = returned(sale)
    assert held == [False] * 3
    shop = trading_shop()
    pages = [receipt_html(purchase, shop), invoice_html(sale, shop), credit_note_html(note, shop)]
    rows = {"purchase": purchase, "sale": sale, "credit_note": note}
    kept = [Paper.objects.get(**{of: row}) for of, row in rows.items()]
    assert [bytes(each.pdf) for each in kept] == [pdf_of(page) for page in pages]
    assert (purchase.receipt_no, sale.number, note.number) == ("PR0001", "SI0001", "CN0001")


def test_the_credit_note_for_part_of_a_sale(monkeypatch):
    sale = sold()
    held = watched_press(monkeypatch)
    note = reduced(sale)
    assert held == [False]
    page = reduction_html(note, sale.purchase.bike, trading_shop())
    assert bytes(note.paper.pdf) == pdf_of(page)
