"""CSV as spreadsheets write it: encodings, delimiters, decimal marks, and what is refused."""

import codecs
from contextlib import suppress

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.core.sheets import (
    DELIMITERS,
    Limits,
    SheetError,
    decimal_mark,
    decode,
    read_sheet,
    runs_as_formula,
    unlike,
    with_point,
)

LIMITS = Limits(file_bytes=10_000, rows=20, columns=4, letters=50)
TEXT = "name,price\nCafé Größe,1\n"


def known(name):
    return name.casefold() in {"name", "price"}


def read(data):
    return read_sheet(data if isinstance(data, bytes) else data.encode(), LIMITS, known)


@pytest.mark.parametrize(
    ("encoding", "mark", "words"),
    [
        ("utf-8", b"", "UTF-8"),
        ("utf-8", codecs.BOM_UTF8, "UTF-8"),
        ("cp1252", b"", "Windows-1252"),
        ("utf-16-le", codecs.BOM_UTF16_LE, "UTF-16"),
        ("utf-16-be", codecs.BOM_UTF16_BE, "UTF-16"),
        ("utf-16-le", b"", "UTF-16"),
        ("utf-16-be", b"", "UTF-16"),
    ],
)
def test_encodings_are_found_out(encoding, mark, words):
    sheet = read(mark + TEXT.encode(encoding))
    assert sheet.encoding == words
    assert sheet.head == ("name", "price")
    assert sheet.rows == ((2, ("Café Größe", "1")),)


@pytest.mark.parametrize("delimiter", DELIMITERS)
@pytest.mark.parametrize("ending", ["\n", "\r\n", "\r"])
def test_delimiters_and_line_endings_are_found_out(delimiter, ending):
    sheet = read(TEXT.replace(",", delimiter).replace("\n", ending))
    assert sheet.rows == ((2, ("Café Größe", "1")),)
    assert sheet.delimiter == DELIMITERS[delimiter]


def test_a_line_that_tells_the_delimiter_is_heeded_and_counted():
    sheet = read("sep=;\nname;price\na,b;1\n")
    assert sheet.rows == ((3, ("a,b", "1")),)
    assert sheet.delimiter == "semicolons"


def test_rows_have_the_numbers_that_a_spreadsheet_shows():
    sheet = read('name,price\n\n"two\nlines",1\n,\n  b  ,2\n')
    assert sheet.rows == ((3, ("two lines", "1")), (5, ("b", "2")))


def test_quotation_marks_and_delimiters_within_a_cell_are_read():
    assert read('name,price\n"a ""b"", c","1,5"\n').rows[0][1] == ('a "b", c', "1,5")


@pytest.mark.parametrize(
    ("data", "what"),
    [
        (b"", "empty"),
        (b"  \n \n", "empty"),
        (codecs.BOM_UTF8, "empty"),
        (b"PK\x03\x04rest", "workbook or a zip"),
        (b"\xd0\xcf\x11\xe0rest", "old spreadsheet"),
        (b"%PDF-1.7", "a PDF"),
        (b"\x89PNG\r\n", "a picture"),
        (b"\xff\xd8\xff\xe0", "a picture"),
        (b"{\\rtf1", "word processor"),
        (b"name,price\na\x00\x07,1\n", "characters"),
        (b"name,price\n\x81\x8d,1\n", "letters of this file"),
        (codecs.BOM_UTF16_LE + b"n\x00a", "letters of this file"),
        (b"colour,weight\nred,1\n", "names no column"),
        (b"just words", "names no column"),
        (b'name,price\n"a,1\nb,2\n', "Row 2: a quotation mark"),
        (b'name,price\na,1\n"b"x,2\n', "Row 3: a quotation mark"),
        (b"name,price,a,b,c\n", "5 columns; 4 are the most"),
        (b"name,price\n" + b"a,1\n" * 21, "more than 20 rows"),
        (b"name,price\n" + b"x" * 51 + b",1\n", "Row 2: a cell is longer than 50"),
        (b"name,price\n" + b"a,1\n" * 3000, "larger than 10 kB"),
    ],
)
def test_what_is_no_table_is_refused_with_the_reason(data, what):
    with pytest.raises(SheetError, match=what):
        read(data)


def test_as_many_rows_as_allowed_are_read():
    assert len(read(b"name,price\n" + b"a,1\n" * 20).rows) == 20


@given(st.binary(max_size=300))
def test_any_bytes_are_read_or_refused_never_a_crash(data):
    for start in (b"", b"name,price\n"):
        with suppress(SheetError):
            assert read(start + data).head


@given(st.text(st.characters(exclude_categories=["Cs", "Cc"]), min_size=1, max_size=40))
def test_a_text_comes_back_the_same_in_every_unicode(words):
    for encoding in ("utf-8-sig", "utf-16"):
        assert decode(f"name\n{words}".encode(encoding))[0] == f"name\n{words}"


@pytest.mark.parametrize(
    ("cells", "mark"),
    [
        (["12.50", "1,250.00"], "."),
        (["12,50", "1.250,00 €"], ","),
        (["12", "1.250", "1,250"], ""),
        (["12,5"], ","),
        ([], ""),
    ],
)
def test_the_decimal_mark_is_found_out(cells, mark):
    assert decimal_mark(cells) == mark


def test_both_decimal_marks_at_once_are_refused():
    with pytest.raises(SheetError, match=r"“12,50”.*“13.50”"):
        decimal_mark(["12,50", "13.50"])


@pytest.mark.parametrize(
    ("cell", "mark", "plain"),
    [
        ("1.250,00", ",", "1250.00"),
        ("1.234.567,5", ",", "1234567.5"),
        ("1,250.00", ".", "1250.00"),
        ("1.250", ",", "1250"),
        ("1,250", ".", "1250"),
        ("1,250", "", "1,250"),
        ("12,50", ",", "12.50"),
        ("£12.50", ".", "£12.50"),
        ("1.2500", ",", "1.2500"),
    ],
)
def test_amounts_are_written_with_a_point(cell, mark, plain):
    assert with_point(cell, mark) == plain


@pytest.mark.parametrize("text", ["=1+1", "+44", "-3", "@SUM(A1)", " =1", "＝1", "＠x"])
def test_what_a_spreadsheet_would_run_is_known(text):
    assert runs_as_formula(text)


@pytest.mark.parametrize("text", ["", " ", "a=b", "'=1", "6-speed", "Larkfold"])
def test_other_text_is_no_formula(text):
    assert not runs_as_formula(text)


def test_a_name_that_stands_twice_is_found():
    assert unlike(["a", "b", "A"], str.casefold) == "A"
    assert unlike(["a", "b"], str.casefold) == ""
