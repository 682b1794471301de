"""Odd and broken price lists: each is read rightly, or refused with words that say what to do."""

import codecs
import datetime as dt
import re
from decimal import Decimal

import pytest
from openpyxl.styles import numbers

from inventory.core.sheets import SheetError
from inventory.pricelists.models import Incoming, State
from inventory.suppliers.models import SupplierPart
from tests.factories.people import sign_in
from tests.factories.pricelistfiles import (
    HEAD,
    ROWS,
    damaged,
    encrypted,
    ods,
    repacked,
    with_sheet,
    xlsx,
    zipped,
)
from tests.factories.shop import ShopFactory
from tests.factories.suppliers import SupplierFactory, read, sent

pytestmark = pytest.mark.django_db

TEXT = "Code,Name,Price\nA1,Café bell,4.50\n"
GERMAN = "Artikelnummer;Bezeichnung;Preis\nA1;Glocke groß;1.234,50\n"
BOMB = '<!DOCTYPE x [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;&a;">]><worksheet>&b;</worksheet>'
OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(600)
MANIFEST = (
    b'<manifest:manifest xmlns:manifest="urn:oasis:names:tc:opendocument:xmlns:manifest:1.0">'
    b"<manifest:encryption-data/></manifest:manifest>"
)


def cells(count):
    return ",".join(f"c{n}" for n in range(count))


REFUSED = {
    "empty": (b"", "file is empty"),
    "only blanks": (b" \r\n\t\r\n", "file is empty"),
    "only a mark of UTF-8": (codecs.BOM_UTF8, "file is empty"),
    "only zeros": (bytes(5_000), "file is empty"),
    "only a head": (b"Code,Name,Price\n", "no row below"),
    "a picture": (b"\x89PNG\r\n\x1a\n" + bytes(range(256)), "This is a picture"),
    "a PDF": (b"%PDF-1.7\n%\xe2\xe3", "This is a PDF"),
    "a word processor's file": (b"{\\rtf1 prices}", "word processor"),
    "binary rubbish": (bytes(range(256)) * 40, "no text has|cannot be read as"),
    "rubbish after a good start": (TEXT.encode() + b"A2,\x00\x01\x02,4\n", "no text has"),
    "half of UTF-16": (codecs.BOM_UTF16_LE + TEXT.encode("utf-16-le")[:-1], "letters of this file"),
    "undefined in Windows-1252": (b"Code,Name,Price\nA1,\x81\x8d,4\n", "letters of this file"),
    "an open quotation mark": (b'Code,Name,Price\nA1,"Bell,4\nA2,Bag,3\n', "Row 2: a quotation"),
    "a mark within a cell": (b'Code,Name,Price\nA1,"12" wheel",4\n', "Row 2: a quotation"),
    "a million columns": (cells(10**6).encode(), "longer than 1,000,000 letters"),
    "too many columns": (cells(400).encode(), "400 columns; 200 are the most"),
    "one endless row": (b"x" * 2_000_000, "Row 1 is longer"),
    "an old workbook": (OLE, "old workbook"),
    "a workbook with a password": (OLE + "EncryptedPackage".encode("utf-16-le"), "password"),
    "a zip file with a password": (encrypted(xlsx()), "password"),
    "a spreadsheet with a password": (
        repacked(ods(), **{"META-INF__manifest_dot_xml": MANIFEST}),
        "password",
    ),
    "an empty zip file": (zipped(), "zip file is empty"),
    "a zip file of a list": (zipped(list_dot_csv=TEXT.encode()), "Unpack it"),
    "a document": (zipped(word__document_dot_xml=b"<w/>"), "This is a document"),
    "a binary workbook": (zipped(xl__workbook_dot_bin=b"x"), "xlsb"),
    "a workbook cut off": (xlsx()[:-200], "damaged or was cut off"),
    "a workbook damaged within": (
        damaged(xlsx(), "xl/worksheets/sheet1.xml"),
        "damaged",
    ),
    "a zip bomb": (
        repacked(xlsx(), xl__media__x_dot_bin=bytes(80_000_000)),
        "times as large",
    ),
    "a bomb of texts": (
        repacked(xlsx(), xl__sharedStrings_dot_xml=b"<sst>" + bytes(90_000_000) + b"</sst>"),
        "times as large",
    ),
    "too many members": (zipped(**{f"m{n}": b"" for n in range(2_001)}), "2,001 files"),
    "entities in a sheet": (
        repacked(xlsx(), xl__worksheets__sheet1_dot_xml=BOMB.encode()),
        "entities of its own",
    ),
    "entities in a workbook": (
        repacked(xlsx(), xl__workbook_dot_xml=BOMB.encode()),
        "entities of its own",
    ),
    "entities in the texts": (
        repacked(xlsx(), xl__sharedStrings_dot_xml=BOMB.replace("worksheet", "sst").encode()),
        "entities of its own",
    ),
    "entities in a spreadsheet": (repacked(ods(), content_dot_xml=BOMB.encode()), "entities"),
    "no sheet": (repacked(xlsx(), xl__workbook_dot_xml=b"<workbook/>"), "no sheet"),
    "a sheet that is missing": (
        repacked(xlsx(), xl__worksheets__sheet1_dot_xml=None),
        "damaged",
    ),
    "a sheet without rows": (with_sheet(""), "no row in this file"),
    "a sheet that breaks off": (
        with_sheet('<row r="1"><c r="A1" t="str"><v>Code</v></c></row><row r="2"><c>'),
        "damaged",
    ),
    "a cell in a far column": (
        with_sheet('<row r="1"><c r="XFD1"><v>1</v></c></row>'),
        "column XFD1",
    ),
    "a million columns in a workbook": (
        with_sheet('<row r="1">' + "".join(f"<c><v>{n}</v></c>" for n in range(10**6)) + "</row>"),
        "200 columns|longer than a price list",
    ),
    "cells out of order": (
        with_sheet('<row r="1"><c r="B1"><v>1</v></c><c r="A1"><v>1</v></c></row>'),
        "damaged",
    ),
    "a text that is not there": (
        with_sheet('<row r="1"><c r="A1" t="s"><v>99</v></c></row>'),
        "damaged",
    ),
    "a row beyond the last": (
        with_sheet('<row r="900000"><c r="A1" t="str"><v>x</v></c></row>'),
        "more than 500,000 rows",
    ),
    "no table in a spreadsheet": (
        repacked(ods(), content_dot_xml=b"<office:document-content/>"),
        "damaged",
    ),
}


@pytest.mark.parametrize("case", REFUSED)
def test_a_broken_file_is_refused_with_what_to_do_and_nothing_of_it_is_kept(case, settings):
    data, words = REFUSED[case]
    with pytest.raises(SheetError) as caught:
        sent(SupplierFactory.create(), data, "list.csv")
    message = str(caught.value)
    assert re.search(words, message), message
    assert message[0].isupper()
    assert message.endswith((".", ".)"))
    assert not Incoming.objects.exists()
    folder = settings.MEDIA_ROOT / "price-lists"
    assert not list(folder.iterdir()), "something of the file is left"


def dates(book):
    cell = book.active["C2"]
    cell.value, cell.number_format = dt.date(2026, 12, 1), numbers.FORMAT_DATE_DDMMYY


def price(cell):
    return f"Code,Name,Price\nA1,Bell,{cell}\nA2,Bag,3.10\nA3,Box,2.10\n".encode()


def more(name, cell):
    return f"Code,Name,Price,{name}\nA1,Bell,4.50,{cell}\nA2,Bag,3.10,\n".encode()


WRONG = {
    "no price": (price(""), "Price", "no price here"),
    "price on request": (price("on request"), "Price", "no price here"),
    "below zero": (price("-4.50"), "Price", "below zero"),
    "below zero, sign behind": (price("4.50-"), "Price", "below zero"),
    "another currency": (price("€4.50"), "Price", "another currency"),
    "another currency beside": (more("Currency", "EUR"), "Currency", "another currency"),
    "a comma among points": (price('"4,5"'), "Price", "decimal comma, unlike"),
    "too dear": (price("12345678.00"), "Price", "more than 9,999,999"),
    "an exponent": (price("4.5E+3"), "Price", "exponent"),
    "a failed formula": (price("#REF!"), "Price", "formula failed"),
    "a date as text": (price("01/12/2026"), "Price", "is a date"),
    "a date in a workbook": (xlsx(change=dates), "Price", "is a date"),
    "a date in a spreadsheet": (
        ods((HEAD, ("A1", "Bell", dt.date(2026, 12, 1)), ROWS[1])),
        "Price",
        "is a date",
    ),
    "a formula without a result": (
        xlsx((HEAD, ("A1", "Bell", "=1+1"), ROWS[1])),
        "Price",
        "no price here",
    ),
    "no code": (b"Code,Name,Price\n,Bell,4.50\nA2,Bag,3.10\n", "Code", "no code"),
    "a code too long": (
        f"Code,Name,Price\n{'x' * 61},Bell,4.50\nA2,Bag,3.10\n".encode(),
        "Code",
        "longer than 60",
    ),
    "no name": (b"Code,Name,Price\nA1,,4.50\nA2,Bag,3.10\n", "Name", "no name"),
    "a GTIN cut by a spreadsheet": (more("EAN", "4.00638E+12"), "EAN", "cut this GTIN"),
    "a wrong check digit": (more("EAN", "4006381333930"), "EAN", "last figure"),
    "letters in a GTIN": (more("EAN", "400638133393X"), "EAN", "8, 12, 13 or 14"),
    "half a pack": (more("Pack", "2.5"), "Pack", "whole number"),
    "a pack of none": (more("Pack", "0"), "Pack", "whole number"),
    "a discount that can be two": (more("Discount", "0.4"), "Discount", "0.4 % or 40 %"),
    "a discount of more than all": (more("Discount", "120"), "Discount", "100 % at most"),
    "a code twice": (
        b"Code,Name,Price\nA2,Bag,3.10\nA1,Bell,4.50\nA2,Bag,3.20\n",
        "",
        "in row 2 already",
    ),
}


@pytest.mark.parametrize("case", WRONG)
def test_a_wrong_cell_is_told_by_row_and_column_and_the_others_are_read(case):
    data, column, words = WRONG[case]
    incoming = read(SupplierFactory.create(), data)
    assert incoming.state == State.READ, incoming.message
    (problem,) = incoming.problems.all()
    assert problem.column == column
    assert re.search(words, problem.message), problem.message
    assert problem.number == (4 if case == "a code twice" else 2)
    assert incoming.wrong == 1
    assert incoming.rows.filter(code="A2").exists()
    assert not SupplierPart.objects.exists()


def merged(book):
    book.active.merge_cells("A5:C5")
    book.active["A5"] = "All prices without VAT"


def styled(book):
    book.active["D1"] = "Discount"
    book.active["D2"] = 0.4
    book.active["D2"].number_format = "0%"


def second(book):
    book.create_sheet("Old").append(["x"])
    book.worksheets[1].sheet_state = "hidden"


LONG = "Winter prices\nvalid until revoked\n\n" + TEXT
READ = {
    "UTF-8 with a mark": (codecs.BOM_UTF8 + TEXT.encode(), {}, "Café bell", "4.5"),
    "UTF-16": (TEXT.encode("utf-16"), {}, "Café bell", "4.5"),
    "UTF-16 without a mark": (TEXT.encode("utf-16-be"), {}, "Café bell", "4.5"),
    "Windows-1252": (TEXT.encode("cp1252"), {}, "Café bell", "4.5"),
    "line ends of an old Mac": (TEXT.replace("\n", "\r").encode(), {}, "Café bell", "4.5"),
    "a decimal comma": (GERMAN.encode("cp1252"), {}, "Glocke groß", "1234.5"),
    "the delimiter told": (b"sep=;\n" + GERMAN.encode(), {}, "Glocke groß", "1234.5"),
    "tabs": (TEXT.replace(",", "\t").encode(), {}, "Café bell", "4.5"),
    "upright strokes": (TEXT.replace(",", "|").encode(), {}, "Café bell", "4.5"),
    "words above the head": (LONG.encode(), {}, "Café bell", "4.5"),
    "a cell over two lines": (
        b'Code,Name,Price\nA1,"Caf\xc3\xa9\nbell",4.50\n',
        {},
        "Café bell",
        "4.5",
    ),
    "an empty row within": (TEXT.replace("\nA1", "\n,,\nA1").encode(), {}, "Café bell", "4.5"),
    "headings of groups": (TEXT.replace("\nA1", "\n,BELLS,\nA1").encode(), {}, "Café bell", "4.5"),
    "a sign of the currency": (TEXT.replace("4.50", "£4.50").encode(), {}, "Café bell", "4.5"),
    "marks of thousands": (TEXT.replace("4.50", '"1,204.50"').encode(), {}, "Café bell", "1204.5"),
    "no pence": (TEXT.replace("4.50", "4.-").encode(), {}, "Café bell", "4"),
    "a text like a formula": (
        TEXT.replace("Café bell", "=HYPERLINK(0)").encode(),
        {},
        "=HYPERLINK(0)",
        "4.5",
    ),
    "a workbook": (xlsx(), {}, "Bell", "4.5"),
    "a workbook with merged cells": (xlsx(change=merged), {"wrong": 1}, "Bell", "4.5"),
    "a share in a workbook": (xlsx(change=styled), {}, "Bell", "2.7"),
    "a hidden sheet": (xlsx(change=second), {}, "Bell", "4.5"),
    "a price reckoned in binary": (xlsx((HEAD, ("A1", "Bell", 0.1 + 0.2))), {}, "Bell", "0.3"),
    "texts in the cells": (
        with_sheet(
            "<row><c t='inlineStr'><is><t>Code</t></is></c><c t='str'><v>Name</v></c>"
            "<c t='str'><v>Price</v></c></row><row><c t='str'><v>A1</v></c>"
            "<c t='inlineStr'><is><r><t>Be</t></r><r><t>ll</t></r></is></c><c><v>4.5</v></c></row>"
        ),
        {},
        "Bell",
        "4.5",
    ),
    "a spreadsheet": (ods(), {}, "Bell", "4.5"),
    "the name of another kind": (ods(), {}, "Bell", "4.5"),
    "a double name": (b"Code,Name,Price,Price\nA1,Bell,4.50,9.00\n", {}, "Bell", "4.5"),
}


@pytest.mark.parametrize("case", READ)
def test_an_odd_file_is_read_rightly(case):
    data, counted, name, cost = READ[case]
    incoming = read(SupplierFactory.create(), data)
    assert incoming.state == State.READ, incoming.message
    assert incoming.wrong == counted.get("wrong", 0)
    row = incoming.rows.get(code="A1")
    assert (row.name, row.cost_net) == (name, Decimal(cost))


def test_what_is_in_doubt_is_said_before_columns_are_told(client):
    ShopFactory.create()
    sign_in(client, manager=True)
    for data, words in (
        (b"Code,Name,Price,Price\nA1,Bell,4.50,9.00\n", "More than one column"),
        (xlsx(change=merged), "cells are merged"),
    ):
        incoming = sent(SupplierFactory.create(), data)
        page = client.get(f"/price-lists/{incoming.pk}/columns/").content.decode()
        assert words in page


def test_a_price_that_can_be_read_in_two_ways_waits_for_the_mark():
    incoming = read(SupplierFactory.create(), b"Code,Name,Price\nA1,Bell,1.234\nA2,Bag,7\n")
    assert "1234 or as 1.234" in incoming.problems.get().message
    told = read(
        SupplierFactory.create(), b"Code,Name,Price\nA1,Bell,1.234\nA2,Bag,7\n", decimal_mark=","
    )
    assert told.rows.get(code="A1").cost_net == 1234


def test_a_list_with_nothing_but_wrong_rows_is_stuck():
    rows = "\n".join(f"A{n},Bell,none" for n in range(2_500))
    incoming = read(SupplierFactory.create(), f"Code,Name,Price\n{rows}\n".encode())
    assert incoming.state == State.STUCK
    assert re.search("column is not what|no row in this list", incoming.message)


def test_there_are_enough_odd_and_broken_files():
    assert len(REFUSED) + len(WRONG) + len(READ) >= 40
    assert len(REFUSED) >= 40
