"""The stock book: its rows by days, its sums, its file, its PDF, and what it says of VAT."""

import csv
import datetime as dt
import io
import re
from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse
from openpyxl import load_workbook

from quotes.sales.models import Sale
from quotes.sales.selectors.book import Days, book_of, sums_of
from quotes.sales.selectors.period import vat_aid
from quotes.sales.sheet import book_pdf, span_words
from quotes.sales.verbs.sell import Extra
from tests.asking import queries_of
from tests.factories.people import sign_in
from tests.factories.pool import british_pool
from tests.factories.sales import bought, in_stock, returned, sold, trading_shop
from tests.pdfs import read, words_of

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shop")]

FEBRUARY = Days(dt.date(2026, 2, 1), dt.date(2026, 2, 28))
MARCH = Days(dt.date(2026, 3, 1), dt.date(2026, 3, 31))
APRIL = Days(dt.date(2026, 4, 1), dt.date(2026, 4, 30))
URL = reverse("sales:book")


def test_a_row_has_what_the_law_asks_for():
    sale = sold(in_stock(price="600"), price="900")
    (row,) = book_of(Days()).rows
    purchase = sale.purchase
    assert (row.number, row.bought_on, row.document) == ("S0001", purchase.bought_on, "PR0001")
    assert (row.seller, row.seller_address) == ("Ada Moss", "3 Mill Row\nNowhere")
    assert (row.description, row.frame_number) == (purchase.description, purchase.frame_number)
    assert (row.purchase_price, row.scheme) == (600, "margin")
    assert (row.sold_on, row.invoice, row.buyer) == (sale.sold_on, "SI0001", "Ben Frost")
    assert (row.price, row.margin, row.vat) == (900, 300, 50)


def test_a_loss_stands_in_the_book_with_no_vat():
    # marcusward.co, 2015: a loss bears no VAT and must still stand in the stock book
    sold(in_stock(price="600"), price="450")
    (row,) = book_of(Days()).rows
    assert (row.margin, row.vat) == (-150, 0)


def test_at_the_end_of_february_the_bike_is_still_here():
    sold(in_stock(price="600"), price="900")
    (row,) = book_of(FEBRUARY).rows
    assert (row.purchase_price, row.sold_on, row.price) == (600, None, None)
    (row,) = book_of(MARCH).rows
    assert (row.purchase_price, row.price) == (600, 900)
    assert book_of(APRIL).rows == ()


def test_what_came_back_and_was_sold_again_has_a_row_for_each():
    sale = sold(in_stock(price="600"), price="900")
    returned(sale, to_bench=False)
    sold(sale.purchase, price="870", sold_on=dt.date(2026, 4, 9))
    book = book_of(Days())
    found = [(row.invoice, row.purchase_price, row.price, row.vat) for row in book.rows]
    assert found == [
        ("SI0001", 600, 900, 50),
        ("CN0001", None, -900, -50),
        ("SI0002", None, 870, 45),
    ]
    sums = book.sums
    assert (sums.purchase_price, sums.price, sums.margin, sums.vat) == (600, 870, 270, 45)
    assert [row.invoice for row in book_of(APRIL).rows] == ["CN0001", "SI0002"]


def several():
    prices = [("600", "900"), ("333.33", "444.44"), ("80.10", "79.99"), ("120", "251.07")]
    for paid, price in prices:
        sold(in_stock(price=paid), price=price)
    bought(price="99.95")


def printed(text, sign="£"):
    return [
        Decimal(each.replace(",", "").replace(sign, ""))
        for each in re.findall(r"-?£[\d,]+\.\d\d", text)
    ]


def test_the_sums_are_those_of_the_printed_rows():
    several()
    book = book_of(Days())
    assert book.sums == sums_of(book.rows)
    pdf = book_pdf(book, vat_aid(Days()), trading_shop())
    text = words_of(pdf)
    table, _, rest = text.partition("Sum of the rows above")
    sums = printed(rest)[:4]
    rows = book.rows
    expected = [
        sum(row.purchase_price for row in rows),
        *(sum(getattr(row, each) or 0 for row in rows) for each in ("price", "margin", "vat")),
    ]
    assert sums == expected
    amounts = printed(table)
    assert sum(amounts) == sum(expected)
    assert "Stock book" in text
    first = read(pdf).pages[0].mediabox
    assert float(first.width) > float(first.height)


def test_the_file_has_every_column_and_the_same_sums():
    several()
    client = Client()
    sign_in(client, accountant=True)
    asked = {"first": "2026-01-01", "last": "2026-12-31"}
    answer = client.get(URL, asked | {"export": "csv"})
    text = b"".join(answer.streaming_content).decode("utf-8-sig")
    rows = list(csv.DictReader(io.StringIO(text)))
    assert list(rows[0]) == [
        *("Stock no.", "Bike", "Bought on", "Purchase invoice", "Seller", "Seller’s address"),
        *("Description", "Frame number", "VAT", "Purchase price (GBP)", "Sold on"),
        *("Sales invoice", "Buyer", "Selling price (GBP)", "Margin (GBP)", "VAT due (GBP)"),
        "Remark",
    ]
    sums = book_of(Days()).sums
    assert sum(Decimal(row["Purchase price (GBP)"]) for row in rows) == sums.purchase_price
    assert sum(Decimal(row["VAT due (GBP)"] or 0) for row in rows) == sums.vat
    assert rows[0]["Seller’s address"] == "3 Mill Row, Nowhere"
    answer = client.get(URL, asked | {"export": "xlsx"})
    sheet = load_workbook(io.BytesIO(b"".join(answer.streaming_content))).active
    assert sum(cell.value or 0 for cell in sheet["J"][1:]) == pytest.approx(
        float(sums.purchase_price)
    )


def test_the_page_shows_rows_sums_and_boxes():
    sold(in_stock(price="600"), price="900")
    client = Client()
    sign_in(client, manager=True)
    page = client.get(URL, {"first": "2026-02-01", "last": "2026-03-31"}).content.decode()
    for words in ("S0001", "SI0001", "£300.00", "£50.00", "Box 6", "£850.00", "not tax advice"):
        assert words in page


def test_a_pooled_sale_owes_its_vat_with_the_pool():
    british_pool()
    sold(in_stock(price="400", pooled=True), price="700")
    client = Client()
    sign_in(client, manager=True)
    rows = client.get(URL, {"first": "2026-01-01", "last": "2026-12-31"}).context["table"].rows
    assert [row.get_cell("vat") for row in rows] == ["in the pool"]


def test_days_in_the_wrong_order_are_told_and_this_year_is_shown():
    sold()
    client = Client()
    sign_in(client, manager=True)
    page = client.get(URL, {"first": "2026-05-01", "last": "2026-04-01"}).content.decode()
    assert "before the first day" in page
    assert "S0001" in page
    page = client.get(URL, {"first": "", "last": ""}).content.decode()
    assert "S0001" in page


def test_the_pdf_is_given_for_the_same_days():
    sold()
    client = Client()
    sign_in(client, accountant=True)
    answer = client.get(reverse("sales:book_pdf"), {"first": "2026-02-01", "last": "2026-02-28"})
    text = words_of(answer.content)
    assert "1 February 2026 to 28 February 2026" in text
    assert "SI0001" not in text


@pytest.mark.parametrize(
    ("days", "words"),
    [
        (Days(), "all of it"),
        (Days(first=dt.date(2026, 2, 1)), "from 1 February 2026"),
        (Days(last=dt.date(2026, 2, 1)), "up to 1 February 2026"),
    ],
)
def test_spans_are_told_in_words(days, words):
    assert span_words(days, trading_shop()) == words


def test_queries_do_not_grow_with_the_rows():
    several()
    client = Client()
    sign_in(client, manager=True)
    few = queries_of(client, URL), queries_of(client, URL, export="csv")
    several()
    returned(Sale.objects.first())
    assert (queries_of(client, URL), queries_of(client, URL, export="csv")) == few


# for the VAT return


def test_bought_600_sold_900_fills_the_boxes():
    # Boxes: HMRC Notice 718, VAT return section, as restated by vatforum.co.uk 55951
    sold(in_stock(price="600"), price="900")
    aid = vat_aid(Days())
    assert (aid.boxes.box_1, aid.boxes.box_6, aid.boxes.box_7) == (50, 850, 600)
    assert (aid.boxes.box_8, aid.boxes.box_9, aid.box_4) == (0, 0, 0)


def test_a_purchase_counts_in_its_own_days_and_a_sale_in_its():
    sold(in_stock(price="600"), price="900")
    assert (vat_aid(FEBRUARY).boxes.box_7, vat_aid(FEBRUARY).boxes.box_1) == (600, 0)
    assert (vat_aid(MARCH).boxes.box_7, vat_aid(MARCH).boxes.box_1) == (0, 50)


def test_what_was_taken_back_lowers_its_own_days():
    sale = sold(in_stock(price="600"), price="900", extras=[Extra("Lock", Decimal(24))])
    returned(sale)
    aid = vat_aid(APRIL)
    assert (aid.boxes.box_1, aid.boxes.box_6) == (-54, -870)
    assert [(each.kind, each.sold, each.sales) for each in aid.kinds] == [
        ("margin", -1, -900),
        ("extra", -1, -24),
    ]
    assert vat_aid(Days()).boxes.box_1 == 0


def test_kinds_are_told_apart():
    british_pool()
    sold(in_stock(price="400", pooled=True), price="700", extras=[Extra("Bag", Decimal(12))])
    sold(in_stock(price="600", vat_shown=True, seller_invoice="7"), price="900")
    sold(in_stock(price="600"), price="450")
    aid = vat_aid(Days())
    found = [(each.kind, each.sales, each.vat, each.input_vat) for each in aid.kinds]
    assert found == [
        ("margin", 450, 0, 0),
        ("pooled", 700, 0, 0),
        ("ordinary", 900, 150, 100),
        ("extra", 12, 2, 0),
    ]
    assert aid.has_pooled
    assert (aid.boxes.box_1, aid.box_4) == (152, 100)
    assert (aid.boxes.box_6, aid.boxes.box_7) == (450 + 750 + 10, 600 + 500)
