"""The stock book's papers are made before anything is held, and are those of the rows kept."""

import pytest

from inventory.paper.press import pdf_of
from quotes.sales.models import Paper
from quotes.sales.papers import credit_note_html, invoice_html, receipt_html
from tests.factories.paper import watched_press
from tests.factories.sales import bought, released, returned, sold, trading_shop

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
