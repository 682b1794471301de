"""Lists as CSV: what each kind of cell looks like, and that no text is reckoned."""

import csv
import datetime as dt
import io
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.core.cells import Money, Share
from inventory.exporting.csvfile import ROWS_A_PIECE, csv_pieces, written

D = Decimal
NOON = dt.datetime.fromisoformat("2026-03-02 12:05")


@pytest.mark.parametrize(
    ("cell", "text"),
    [
        (None, ""),
        ("", ""),
        ("Hub, front", "Hub, front"),
        (7, "7"),
        (-7, "-7"),
        (D("2.50"), "2.5"),
        (D("-3.00"), "-3"),
        (D("1E+3"), "1000"),
        (Money(D("12.5"), "GBP"), "12.50"),
        (Money(D("-12"), "GBP"), "-12.00"),
        (Money(D("0.1250"), "GBP"), "0.125"),
        (Money(D(1200), "JPY"), "1200"),
        (Money(D(12), "EUR"), "12.00 EUR"),
        (Share(D("0.4000")), "40%"),
        (Share(D("-0.125")), "-12.5%"),
        (dt.date(2026, 3, 2), "2026-03-02"),
        (NOON, "2026-03-02 12:05"),
    ],
)
def test_each_kind_of_cell_is_written_in_one_way(cell, text):
    currency = "JPY" if cell == Money(D(1200), "JPY") else "GBP"
    assert written(cell, currency) == text


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠"])
@pytest.mark.parametrize("rest", ["1+1", "cmd|' /C calc'!A0", 'HYPERLINK("http://x.example")'])
def test_a_text_that_might_be_reckoned_is_marked_as_text(start, rest):
    assert written(start + rest, "GBP") == f"'{start}{rest}"


@pytest.mark.parametrize("text", [" =1+1", "\u00a0@SUM(A1)", "  -1"])
def test_spaces_before_it_do_not_hide_a_formula(text):
    assert written(text, "GBP") == f"'{text}"


@given(
    st.lists(st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0")), min_size=1)
)
def test_any_text_is_read_back_as_it_was_but_for_the_mark(texts):
    data = b"".join(csv_pieces(["Head"] * len(texts), [texts], "GBP")).decode("utf-8-sig")
    _, row = csv.reader(io.StringIO(data, newline=""))
    for text, cell in zip(texts, row, strict=True):
        assert cell in {text, f"'{text}"}
        assert cell[:1] not in set("=+-@\t\r\n")


def test_a_long_list_comes_in_pieces_and_its_rows_are_not_read_ahead():
    taken = 0

    def rows():
        nonlocal taken
        for taken in range(1, 10 * ROWS_A_PIECE + 1):
            yield [taken]

    pieces = csv_pieces(["Number"], rows(), "GBP")
    next(pieces)
    assert taken < 2 * ROWS_A_PIECE
    rest = b"".join(pieces)
    assert rest.endswith(b"5000\r\n")
