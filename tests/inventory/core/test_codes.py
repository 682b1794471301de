"""Bars and squares are read back by another's reader, and bars are reckoned again by hand."""

import re
from decimal import Decimal

import pytest
import zxingcpp
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image, ImageDraw

from inventory.core.codes import (
    NARROWEST_MM,
    QUIET,
    WIDEST_MM,
    CodeError,
    bars,
    bars_drawn,
    module_mm,
    square_drawn,
)

STEP = re.compile(r"M(\d+) (\d+)h(\d+)v(\d+)h-(\d+)z")
SCALE = 4
PRINTED = st.text(
    alphabet=st.characters(min_codepoint=33, max_codepoint=126), min_size=1, max_size=30
)


def picture(drawn, tall=1):
    """Return what the path draws, as a scanner sees it; every step of the path is understood."""
    image = Image.new("L", (drawn.width * SCALE, drawn.height * SCALE * tall), 255)
    pen = ImageDraw.Draw(image)
    steps = STEP.findall(drawn.path)
    assert "".join(f"M{a} {b}h{c}v{d}h-{e}z" for a, b, c, d, e in steps) == drawn.path
    for left, top, wide, high, back in (map(int, step) for step in steps):
        assert wide == back
        corner = ((left + wide) * SCALE - 1, (top + high) * SCALE * tall - 1)
        pen.rectangle((left * SCALE, top * SCALE * tall, *corner), fill=0)
    return image


def read(image):
    return [(each.format, each.text) for each in zxingcpp.read_barcodes(image)]


@pytest.mark.parametrize(
    "text",
    [
        "B0001",
        "J0012",
        "4006381333931",
        "front-hub-cones",
        "A",
        "12",
        "99",
        "990",
        "9912345678901",
        "99A",
    ],
)
def test_a_scanner_reads_the_bars(text):
    (found,) = read(picture(bars_drawn(text, height=1), tall=60))
    assert found == (zxingcpp.BarcodeFormat.Code128, text)


@settings(max_examples=60, deadline=None)
@given(PRINTED)
def test_whatever_can_be_printed_is_read_back(text):
    """Among what the reader makes of them: it may take slanting bars for another text besides."""
    found = zxingcpp.read_barcodes(
        picture(bars_drawn(text), tall=60), formats=zxingcpp.BarcodeFormat.Code128
    )
    assert text in [each.text for each in found]


@settings(max_examples=100, deadline=None)
@given(PRINTED)
def test_the_check_symbol_is_what_the_standard_reckons(text):
    """The weighted sum of the symbols, modulo 103 (ISO/IEC 15417), from the bars' widths alone."""
    symbols = symbols_of(bars(text))
    start, *data, check, stop = symbols
    assert start in {103, 104, 105}
    assert stop == STOP
    assert check == (start + sum(place * each for place, each in enumerate(data, 1))) % 103


# The widths of bars and spaces of the 107 symbols (ISO/IEC 15417, table 1), from the reader's
# side: from memory.
SYMBOLS = """
212222 222122 222221 121223 121322 131222 122213 122312 132212 221213 221312 231212 112232
122132 122231 113222 123122 123221 223211 221132 221231 213212 223112 312131 311222 321122
321221 312212 322112 322211 212123 212321 232121 111323 131123 131321 112313 132113 132311
211313 231113 231311 112133 112331 132131 113123 113321 133121 313121 211331 231131 213113
213311 213131 311123 311321 331121 312113 312311 332111 314111 221411 431111 111224 111422
121124 121421 141122 141221 112214 112412 122114 122411 142112 142211 241211 221114 413111
241112 134111 111242 121142 121241 114212 124112 124211 411212 421112 421211 212141 214121
412121 111143 111341 131141 114113 114311 411113 411311 113141 114131 311141 411131 211412
211214 211232 233111
"""
WIDTHS = re.findall(r"\d+", SYMBOLS)
STOP = 106


def symbols_of(modules):
    """Return the symbols that runs of modules stand for; the stop has one bar more."""
    runs = [len(run.group()) for run in re.finditer(r"1+|0+", modules)]
    assert runs.pop() == 2
    groups = ["".join(map(str, runs[at : at + 6])) for at in range(0, len(runs), 6)]
    return [WIDTHS.index(each) for each in groups]


def test_the_table_of_symbols_is_whole():
    assert len(set(WIDTHS)) == len(WIDTHS) == 107
    assert all(sum(map(int, each)) == 11 for each in WIDTHS)


@pytest.mark.parametrize("text", ["http://shop.example/bikes/12/", "front-hub-cones-set", "ü"])
def test_a_scanner_reads_the_square(text):
    (found,) = read(picture(square_drawn(text)))
    assert found[1] == text


@pytest.mark.parametrize("text", ["", "Fahrräder", "x" * 81])
def test_what_bars_cannot_hold_is_refused_with_what_to_do(text):
    with pytest.raises(CodeError, match="can’t stand in bars"):
        bars(text)


@pytest.mark.parametrize("text", ["", "x" * 5000])
def test_what_a_square_cannot_hold_is_refused(text):
    with pytest.raises(CodeError):
        square_drawn(text)


def test_a_module_fills_the_room_between_its_limits():
    modules = len(bars("B0001")) + 2 * QUIET
    assert module_mm("B0001", Decimal(1000)) == WIDEST_MM
    assert module_mm("B0001", modules * NARROWEST_MM) == NARROWEST_MM
    assert module_mm("B0001", modules * NARROWEST_MM - Decimal("0.1")) is None
    assert module_mm("B0001", modules * Decimal("0.3")) == Decimal("0.3")
