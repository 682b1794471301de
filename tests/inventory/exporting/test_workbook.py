"""Lists as workbooks, read back by another program."""

import datetime as dt
import io
import zipfile
from decimal import Decimal

import openpyxl
import pytest

from inventory.core.cells import Money, Share
from inventory.exporting import workbook
from inventory.exporting.workbook import LONGEST_TEXT, money_format, write_workbook

D = Decimal
NOON = dt.datetime.fromisoformat("2026-03-02 12:05")
MIDNIGHT = dt.datetime.fromisoformat("2026-03-02")


def book_of(*rows, heads=("Head",)):
    file = io.BytesIO()
    write_workbook(file, list(heads), rows, locale="en_GB")
    file.seek(0)
    return openpyxl.load_workbook(file)


def cell_of(value):
    return book_of([value]).active["A2"]


@pytest.mark.parametrize(
    ("cell", "value", "shown"),
    [
        (7, 7, "General"),
        (D("-2.5"), -2.5, "General"),
        (D("9999999.9999"), 9999999.9999, "General"),
        (Money(D("12.5"), "GBP"), 12.5, "[$£]#,##0.00"),
        (Money(D("-1200"), "JPY"), -1200, "[$JP¥]#,##0"),
        (Share(D("0.4")), 0.4, "0%"),
        (Share(D("0.125")), 0.125, "0.0#%"),
        (dt.date(2026, 3, 2), MIDNIGHT, "yyyy-mm-dd"),
        (NOON, NOON, "yyyy-mm-dd hh:mm"),
    ],
)
def test_figures_amounts_and_days_keep_their_kind(cell, value, shown):
    found = cell_of(cell)
    assert found.value == value
    assert found.number_format == shown
    assert found.data_type == ("d" if isinstance(cell, dt.date) else "n")


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t", "\r", "＝"])
def test_a_text_that_might_be_reckoned_stays_a_text_also_when_it_is_edited(start):
    found = cell_of(f"{start}1+1")
    assert (found.data_type, found.quotePrefix) == ("s", True)
    assert found.value.replace("_x000D_", "\r") == f"{start}1+1"


@pytest.mark.parametrize(
    "text", ["{=1+1}", "http://shop.example", "internal:A1", "0012", "1E5", "<b>&", "×", "a\x01b"]
)
def test_any_other_text_is_written_as_it_is(text):
    found = cell_of(text)
    assert found.data_type == "s"
    assert openpyxl.utils.escape.unescape(found.value) == text
    assert found.hyperlink is None


def test_nothing_is_an_empty_cell():
    assert [cell.value for cell in book_of([None, "", "x"], heads="abc").active[2]] == [
        None,
        None,
        "x",
    ]


def test_a_text_too_long_for_a_cell_is_cut_and_not_left_out():
    assert len(cell_of("x" * (LONGEST_TEXT + 1)).value) == LONGEST_TEXT


def test_the_names_of_the_columns_stay_in_sight():
    assert book_of([1]).active.freeze_panes == "A2"


def test_a_list_longer_than_a_sheet_goes_on_in_another(monkeypatch):
    monkeypatch.setattr(workbook, "ROWS_A_SHEET", 3)
    book = book_of([1], [2], [3], [4], [5])
    rows = [[cell.value for cell in sheet["A"]] for sheet in book]
    assert rows == [["Head", 1, 2], ["Head", 3, 4], ["Head", 5]]


def test_nothing_in_the_file_is_a_formula_or_points_elsewhere():
    file = io.BytesIO()
    write_workbook(file, ["=1"], [["=1+1", "@SUM(A1)"]], locale="en_GB")
    with zipfile.ZipFile(file) as parts:
        every = b"".join(parts.read(name) for name in parts.namelist())
    assert b"<f>" not in every
    assert b"hyperlink" not in every.lower().replace(b"hyperlinkschanged", b"")


@pytest.mark.parametrize(
    ("currency", "locale", "shown"),
    [
        ("GBP", "en_GB", "[$£]#,##0.00"),
        ("EUR", "de_DE", "#,##0.00 [$€]"),
        ("CHF", "de_CH", "[$CHF] #,##0.00"),
        ("JPY", "ja_JP", "[$￥]#,##0"),
    ],
)
def test_amounts_are_shown_as_the_shop_writes_them(currency, locale, shown):
    assert money_format(currency, locale) == shown
