"""A purchase order on paper and as a file: the same bytes, every line, nothing that runs."""

import csv
import io
from decimal import Decimal

import pytest

from inventory.purchasing.models import OrderDocument
from inventory.purchasing.paper import order_csv, order_pdf, written
from inventory.purchasing.selectors import order_page
from inventory.purchasing.verbs.change_draft import change_draft
from inventory.purchasing.verbs.place import place
from tests import pdfs
from tests.factories.paper import watched_press
from tests.factories.parts import PartFactory
from tests.factories.people import UserFactory
from tests.factories.purchasing import drafted, ordered, sold
from tests.factories.shop import ShopFactory
from tests.factories.suppliers import SupplierFactory

pytestmark = pytest.mark.django_db
D = Decimal


def read(pdf):
    """The PDF with its words, as one text."""
    return pdfs.read(pdf), pdfs.words_of(pdf)


def sent(*articles, note="", **more):
    """An order that was placed, and its PDF as it was kept."""
    draft = drafted(*articles, **more)
    change_draft(draft, [], note=note)
    shop = ShopFactory.create()
    order = place(draft, by=UserFactory.create(first_name="Agnes", last_name="Moor"), shop=shop)
    return order, bytes(OrderDocument.objects.get(order=order).pdf)


def rows_of(order):
    """The CSV's rows without its head."""
    text = order_csv(order_page(order))
    assert text.startswith("\ufeff")
    return list(csv.DictReader(io.StringIO(text.removeprefix("\ufeff"))))


def test_the_paper_tells_all_that_the_supplier_must_know():
    supplier = SupplierFactory.create(
        name="Tannery Row", own_number="4711", terms="30 days net", lead_days=2,
        carriage_net=D("7.50"), carriage_free_net=500,
    )  # fmt: skip
    article = sold(price="12.345", pack=10, supplier=supplier, code="TR-9", name="Inner tube")
    order, pdf = sent(article, packs=3, note="Please ring before you come.")
    reader, text = read(pdf)
    for words in (
        "Purchase order", order.number, "Tannery Row", "Our customer number 4711", "TR-9",
        "Inner tube", "£37.04", "Carriage £7.50", "30 days net", "Please ring before you come.",
        "By Agnes Moor", "Expected", "page 1 of 1", "The Folding Yard",
    ):  # fmt: skip
        assert words in text, words
    assert reader.metadata.title == f"Purchase order {order.number}"
    assert reader.trailer["/Root"]["/Lang"] == "en-GB"


def test_carriage_is_free_on_paper_from_the_threshold_on():
    supplier = SupplierFactory.create(carriage_free_net=20, carriage_net=5)
    _, text = read(sent(sold(price=10, supplier=supplier), packs=2)[1])
    assert "Carriage free" in text


def test_the_same_order_gives_the_same_bytes():
    order, pdf = sent(sold())
    assert order_pdf(order_page(order), ShopFactory.create()) == pdf


def test_a_long_order_has_every_line_its_head_on_each_page_and_the_sum():
    supplier = SupplierFactory.create()
    articles = [
        sold(price="1.11", supplier=supplier, code=f"C-{n:03}", name=f"Article number {n}")
        for n in range(90)
    ]
    reader, text = read(sent(*articles, packs=1)[1])
    assert all(f"C-{n:03}" in text for n in range(90))
    assert len(reader.pages) > 2
    for number, page in enumerate(reader.pages, 1):
        assert f"page {number} of {len(reader.pages)}" in page.extract_text()
    with_lines = [page.extract_text() for page in reader.pages if "C-0" in page.extract_text()]
    assert all("Your code" in each for each in with_lines)
    assert "£99.90" in text


def test_hostile_words_stay_words_on_paper():
    supplier = SupplierFactory.create(name="<b>Bold</b> & Sons", terms='<img src="file:///etc">')
    article = sold(supplier=supplier, name="<script>alert(1)</script>")
    _, text = read(sent(article)[1])
    assert "<b>Bold</b> & Sons" in text
    assert "<script>alert(1)</script>" in text.replace(" ", "")  # broken over two lines
    assert "<img" in text


def test_a_foreign_order_is_in_the_suppliers_currency():
    supplier = SupplierFactory.create(currency="EUR")
    order, pdf = sent(sold(price="6.60", supplier=supplier), packs=2)
    assert "€13.20" in read(pdf)[1]
    assert rows_of(order)[0]["currency"] == "EUR"


def test_the_file_has_a_row_an_article_with_pieces_and_exact_amounts():
    supplier = SupplierFactory.create()
    first = sold(price="12.345", pack=10, supplier=supplier, code="TR-9", gtin="6291041500213")
    second = sold(PartFactory.create(gtin="7300011000017"), supplier=supplier)
    order = ordered(first, second, packs=3)
    one, two = rows_of(order)
    assert one == {
        "order": order.number,
        "code": "TR-9",
        "article number (GTIN)": "6291041500213",
        "article": first.name,
        "pack of": "10",
        "packs": "3",
        "pieces": "30",
        "price of a pack, net": "12.345",
        "amount, net": "37.04",
        "currency": "GBP",
    }
    assert two["article number (GTIN)"] in {"7300011000017", ""}
    assert two["price of a pack, net"] == "10.00"


@pytest.mark.parametrize(
    "evil",
    [
        "=1+1",
        '=HYPERLINK("http://x.example","a")',
        "+1",
        "-1+1",
        "@SUM(A1)",
        "\tx",
        "\r=1",
        " =1+1",
        "＝1",
    ],
)
def test_no_cell_of_the_file_runs_as_a_formula(evil):
    order = ordered(sold(name=f"{evil} tube", code=f"{evil}9"))
    (row,) = rows_of(order)
    for cell in row.values():
        assert cell.lstrip()[:1] not in set("=+-@＝"), cell
        assert cell[:1] not in "\t\r" or not cell
    assert evil.strip() in row["article"]


@pytest.mark.parametrize(
    ("amount", "text"),
    [
        ("0", "0.00"),
        ("10", "10.00"),
        ("100.5", "100.50"),
        ("12.3450", "12.345"),
        ("1E+3", "1000.00"),
    ],
)
def test_amounts_are_written_exactly(amount, text):
    assert written(D(amount)) == text


@pytest.mark.django_db(transaction=True)
def test_it_is_made_before_anything_is_held(monkeypatch):
    held = watched_press(monkeypatch)
    assert ordered().number == "P0001"
    assert held == [False]
