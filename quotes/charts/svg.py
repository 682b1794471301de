"""SVG written by the standard library's tree, so that every text is escaped.

Looks are attributes, not classes: the same markup is drawn in the browser and on paper.
"""

from __future__ import annotations

from collections.abc import Sequence
from xml.etree.ElementTree import Element, SubElement, tostring

from workshop.core.shapes import INK, INK_SOFT, SHEET

FONT = "Source Sans 3, Noto Sans Hebrew, Noto Sans Arabic, Noto Emoji, sans-serif"
SIZE = 13
LETTER = 0.52
"""The usual width of a letter, as a share of its size."""
HATCH_STEP = 5.0


class Markup(str):
    """SVG that is safe to print as it is: templates do not escape it again."""

    __slots__ = ()

    def __html__(self) -> str:
        """Return itself, for templates."""
        return str(self)


def number(value: float) -> str:
    """Return a coordinate with at most two decimals."""
    return f"{round(value, 2) + 0.0:.2f}".rstrip("0").rstrip(".")


def picture(name: str, width: float, height: float, title: str, desc: str) -> Element:
    """Return an empty drawing that a screen reader takes as one picture, named and described.

    ``name`` is unlike any other chart's on the page.
    """
    root = Element(
        "svg",
        {
            "xmlns": "http://www.w3.org/2000/svg",
            "viewBox": f"0 0 {number(width)} {number(height)}",
            "width": number(width),
            "height": number(height),
            "role": "img",
            "aria-labelledby": f"{name}-title {name}-desc",
            "font-family": FONT,
            "font-size": str(SIZE),
            "fill": INK,
        },
    )
    SubElement(root, "title", {"id": f"{name}-title"}).text = title
    SubElement(root, "desc", {"id": f"{name}-desc"}).text = desc
    return root


def finished(root: Element) -> Markup:
    """Return the drawing as text."""
    return Markup(tostring(root, encoding="unicode"))


def group(parent: Element, hint: str = "") -> Element:
    """Return a new group; ``hint`` is shown while a pointer rests on it."""
    made = SubElement(parent, "g")
    if hint:
        SubElement(made, "title").text = hint
    return made


def text(
    parent: Element,
    x: float,
    y: float,
    words: str,
    *,
    anchor: str = "start",
    bold: bool = False,
    soft: bool = False,
) -> None:
    """Write words with their baseline at a place; ``anchor`` is start, middle or end."""
    attributes = {"x": number(x), "y": number(y), "text-anchor": anchor}
    if bold:
        attributes["font-weight"] = "700"
    if soft:
        attributes["fill"] = INK_SOFT
    SubElement(parent, "text", attributes).text = words


def width_of(words: str) -> float:
    """Return about how wide words are."""
    return len(words) * SIZE * LETTER


def start_of(x: float, wide: float, paper: float) -> float:
    """Return where words of a width begin that stand about a place, kept on the paper."""
    return min(max(x - wide / 2, 2.0), paper - wide - 2)


def path(parent: Element, data: str, **looks: str) -> None:
    """Draw a path; ``stroke_width="2"`` and the like give its looks."""
    SubElement(parent, "path", {"d": data} | _attributes(looks))


def line(parent: Element, points: Sequence[tuple[float, float]], **looks: str) -> None:
    """Draw a line through points."""
    data = "M" + "L".join(f"{number(x)} {number(y)}" for x, y in points)
    path(parent, data, **({"fill": "none", "stroke": INK} | looks))


def disc(parent: Element, x: float, y: float, radius: float, **looks: str) -> None:
    """Draw a disc about a place."""
    place = {"cx": number(x), "cy": number(y), "r": number(radius)}
    SubElement(parent, "circle", place | _attributes(looks))


def rectangle(
    parent: Element, x: float, y: float, width: float, height: float, **looks: str
) -> None:
    """Draw a rectangle."""
    place = {"x": x, "y": y, "width": width, "height": height}
    SubElement(
        parent, "rect", {key: number(value) for key, value in place.items()} | _attributes(looks)
    )


def hatched(parent: Element, x: float, y: float, width: float, height: float, colour: str) -> None:
    """Draw a rectangle filled with slanting strokes, which also show in black and white."""
    rectangle(parent, x, y, width, height, fill=SHEET, stroke=colour, stroke_width="1.2")
    strokes = []
    offset = HATCH_STEP
    while offset < width + height:
        left, top = max(0.0, offset - height), min(offset, height)
        right, bottom = min(offset, width), max(0.0, offset - width)
        strokes.append(
            f"M{number(x + left)} {number(y + top)}L{number(x + right)} {number(y + bottom)}"
        )
        offset += HATCH_STEP
    if strokes:
        path(parent, "".join(strokes), stroke=colour, stroke_width="1.2", fill="none")


def filled(parent: Element, kind: str, box: tuple[float, float, float, float], colour: str) -> None:
    """Draw a rectangle (x, y, width, height) that is "solid", "hatched" or "empty"."""
    if kind == "hatched":
        hatched(parent, *box, colour)
        return
    inside = colour if kind == "solid" else SHEET
    rectangle(parent, *box, fill=inside, stroke=colour, stroke_width="1.2")


def _attributes(looks: dict[str, str]) -> dict[str, str]:
    return {name.replace("_", "-"): value for name, value in looks.items()}
