"""The stylesheet's colours: readable on every ground they stand on, and the same as in the SVG."""

import re
from itertools import pairwise
from pathlib import Path

import pytest
from django.conf import settings

from workshop.core import shapes

CSS = Path(settings.BASE_DIR, "workshop/static/css/shop.css").read_text()
PRINT_CSS = Path(settings.BASE_DIR, "templates/print/quote.css").read_text()
STATIC = Path(settings.BASE_DIR, "workshop/static")

TEXT = 4.5  # WCAG 2.2, success criterion 1.4.3, level AA
GRAPHIC = 3.0  # WCAG 2.2, success criterion 1.4.11, level AA


def custom_properties(block: str) -> dict[str, str]:
    """Return the custom properties of a block of CSS, with var() followed."""
    raw = dict(re.findall(r"--([\w-]+):\s*([^;]+);", block))
    return {
        name: raw[value[6:-1]] if value.startswith("var(--") else value
        for name, value in raw.items()
    }


def root_block(css: str) -> str:
    """Return what the first :root rule holds."""
    found = re.search(r":root\s*{(.*?)}", css, re.DOTALL)
    assert found
    return found[1]


TOKENS = custom_properties(root_block(CSS))
MORE_CONTRAST = TOKENS | custom_properties(root_block(CSS.partition("prefers-contrast: more)")[2]))


def luminance(colour: str) -> float:
    """Return the relative luminance of #rrggbb or #rgb, as WCAG 2.2 defines it."""
    digits = colour.removeprefix("#")
    if len(digits) == 3:
        digits = "".join(digit * 2 for digit in digits)
    parts = [int(digits[place : place + 2], 16) / 255 for place in (0, 2, 4)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return sum(weight * c for weight, c in zip((0.2126, 0.7152, 0.0722), linear, strict=True))


def contrast(one: str, other: str) -> float:
    """Return the contrast ratio of two colours, 1 to 21."""
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_contrast_of_black_on_white_is_21():
    """The measure itself is right at both ends."""
    assert contrast("#000", "#ffffff") == pytest.approx(21)
    assert contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.005)  # W3C's own example
    assert contrast("#123456", "#123456") == 1


GROUNDS = ("paper", "sheet", "manila")
WORDS_ON = [
    *((text, ground) for text in ("ink", "ink-soft", "plum", "teal") for ground in GROUNDS),
    *(("ochre", ground) for ground in ("paper", "sheet")),
    *(("ink", f"{name}-wash") for name in ("ochre", "plum", "teal")),
    *((name, f"{name}-wash") for name in ("ochre", "plum", "teal")),
    *(("sheet", ground) for ground in ("ink", "plum", "teal")),
    ("teal", "teal-wash"),
    ("ink", "spot"),
]


@pytest.mark.parametrize("tokens", [TOKENS, MORE_CONTRAST], ids=["plain", "more contrast"])
@pytest.mark.parametrize(("text", "ground"), WORDS_ON)
def test_text_is_readable(tokens, text, ground):
    """Every pair of text and ground that the stylesheet uses reaches AA."""
    assert contrast(tokens[text], tokens[ground]) >= TEXT


@pytest.mark.parametrize("judgement", ["sound", "watch", "needs-work", "unsafe", "unseen"])
@pytest.mark.parametrize("ground", GROUNDS)
def test_judgement_shapes_stand_out(judgement, ground):
    """A judgement's shape can be told from the paper under it."""
    assert contrast(TOKENS[judgement], TOKENS[ground]) >= GRAPHIC


@pytest.mark.parametrize(
    ("edge", "ground"), [("teal", "paper"), ("teal", "sheet"), ("spot", "ink")]
)
def test_focus_ring_stands_out(edge, ground):
    """The ring round what has the keyboard can be seen on paper and on the bar."""
    assert contrast(TOKENS[edge], TOKENS[ground]) >= GRAPHIC


def test_svg_colours_are_the_tokens():
    """The shapes drawn with attributes have the colours of the stylesheet."""
    same = {
        "ink": shapes.INK,
        "ink-soft": shapes.INK_SOFT,
        "ochre": shapes.OCHRE,
        "plum": shapes.PLUM,
        "teal": shapes.TEAL,
        "sheet": shapes.SHEET,
    }
    assert {name: TOKENS[name] for name in same} == same
    for judgement, colour in shapes.COLOURS.items():
        assert TOKENS[judgement.replace("_", "-")] == colour


def test_no_two_judgements_look_alike_in_black_and_white():
    """With every colour made black, the shapes still differ from one another."""
    bare = [re.sub(r"#[0-9a-f]{6}", "#000000", markup) for markup in shapes.SHAPES.values()]
    assert len(set(bare)) == len(shapes.SHAPES) == len(shapes.WORDS)


def test_no_traffic_light():
    """Bad is not red and good is not green: hue runs nowhere along the four judgements.

    Going from sound to unsafe, lightness neither rises nor falls throughout.
    """
    scale = [luminance(shapes.COLOURS[key]) for key in ("sound", "watch", "needs_work", "unsafe")]
    steps = [later - earlier for earlier, later in pairwise(scale)]
    assert not all(step > 0 for step in steps)
    assert not all(step < 0 for step in steps)
    for colour in shapes.COLOURS.values():
        red, green, blue = (int(colour[place : place + 2], 16) for place in (1, 3, 5))
        assert not (green > 1.5 * red and green > 1.5 * blue), "green"
        assert not (red > 2 * green and red > 2 * blue), "red"


@pytest.mark.parametrize(("css", "folder"), [(CSS, STATIC / "css"), (PRINT_CSS, STATIC)])
def test_every_file_and_shape_named_is_there(css, folder):
    """Fonts and pictures that the stylesheets name are in the repository; so are the shapes."""
    named = re.findall(r'url\("([^"]+)"\)', css)
    drawn = {name.removeprefix("shape:") for name in named if name.startswith("shape:")}
    files = [name for name in named if not name.startswith("shape:")]
    assert files
    assert [name for name in files if not (folder / name).resolve().is_file()] == []
    assert drawn <= set(shapes.SHAPES)


def test_every_font_file_is_used_and_licensed():
    """No font lies unused; the licence stands beside them."""
    used = {Path(url).name for url in re.findall(r'url\("([^"]+woff)"\)', CSS + PRINT_CSS)}
    kept = {path.name for path in (STATIC / "fonts").glob("*.woff")}
    assert kept == used
    assert "SIL OPEN FONT LICENSE Version 1.1" in (STATIC / "fonts/OFL.txt").read_text()


@pytest.mark.parametrize("token", ["target", "target-big"])
def test_targets_are_thumb_sized(token):
    """Targets are at least 44 px high at the root size of 18 px."""
    assert float(TOKENS[token].removesuffix("rem")) * 18 >= 44


def test_every_token_used_is_defined():
    """No var() points at nothing."""
    assert set(re.findall(r"var\(--([\w-]+)", CSS)) <= set(TOKENS)
