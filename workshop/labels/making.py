"""Makes labels: what stands on a bike's and on a part's, and the PDF that holds them."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from decimal import Decimal

from django.template.loader import render_to_string

from inventory.core.codes import CodeError, Drawn, bars_drawn, module_mm, square_drawn
from inventory.parts.models import Part
from workshop.bikes.models import Bike
from workshop.core.labels import Grid, Place

PADDING = Decimal("1.5")
"""Mm left clear at each edge of a label: printers don't hit the middle exactly."""
BAR_SHARE = Decimal("0.34")
LOWEST_BARS = Decimal(6)
SQUARE_SHARE = Decimal("0.42")
LARGEST_SQUARE = Decimal(24)
POINTS = Decimal("2.83")
"""Points (1/72 inch) to a mm."""
TENTH = Decimal("0.1")
HUNDREDTH = Decimal("0.01")
NO_SQUARE = Decimal(10)
"""In so little room the square would be too fine for a phone's camera."""
LEADING = Decimal("1.2")
"""A line's height to the size of its letters; the stylesheet says the same."""
GAP = Decimal("0.6")


@dataclass(frozen=True, slots=True)
class Content:
    """What stands on a label: a large name, lines below it, the code to scan, an address for QR."""

    name: str
    lines: tuple[str, ...]
    code: str
    address: str = ""
    is_stamped: bool = False


@dataclass(frozen=True, slots=True)
class Picture:
    """A code to be drawn, in mm."""

    drawn: Drawn
    width: Decimal
    height: Decimal
    words: str


@dataclass(frozen=True, slots=True)
class Label:
    """A label at its place, its code as bars, or as a square where bars would be too narrow."""

    content: Content
    place: Place
    bars: Picture | None
    square: Picture | None
    text_width: Decimal
    text_height: Decimal


@dataclass(frozen=True, slots=True)
class Sheets:
    """All the labels of a print, sheet by sheet."""

    title: str
    language: str
    grid: Grid
    sheets: tuple[tuple[Label, ...], ...] = field(default=())

    @property
    def name_size(self) -> Decimal:
        """Return the size of the large name in points."""
        return name_size(self.grid)

    @property
    def text_size(self) -> Decimal:
        """Return the size of the lines in points."""
        return text_size(self.grid)

    @property
    def inner_width(self) -> Decimal:
        """Return the width inside a label in mm."""
        return self.grid.width - 2 * PADDING

    @property
    def inner_height(self) -> Decimal:
        """Return the height inside a label in mm."""
        return self.grid.height - 2 * PADDING


def name_size(grid: Grid) -> Decimal:
    """Return the size of a stamped name in points: a quarter of the label's height."""
    return max(Decimal(8), min(Decimal(24), grid.height * POINTS / 4)).quantize(TENTH)


def text_size(grid: Grid) -> Decimal:
    """Return the size of the lines in points."""
    return max(Decimal(5), min(Decimal(9), grid.height * POINTS / 11)).quantize(TENTH)


def bike_content(bike: Bike, address_of: Callable[[Bike], str]) -> Content:
    """Return what stands on a bike's label: its stock number, what it is, its frame number."""
    what = " ".join(filter(None, (bike.make, bike.model)))
    lines = [", ".join(filter(None, (what, bike.colour)))]
    if bike.frame_number:
        lines.append(f"Frame {bike.frame_number}")
    return Content(bike.stock_no, tuple(lines), bike.stock_no, address_of(bike), is_stamped=True)


def part_content(part: Part) -> Content:
    """Return what stands on a part's or its shelf's label; scanned is its GTIN, else our code."""
    shelf = f"Shelf {part.place}" if part.place else ""
    lines = tuple(filter(None, (shelf, part.code if part.gtin else "")))
    return Content(part.name, lines, part.gtin or part.code)


def sheets_of(
    contents: Sequence[Content], grid: Grid, *, title: str, language: str, first: int = 1
) -> Sheets:
    """Return labels on their sheets, from the place ``first`` of the first sheet on."""
    places = grid.places(len(contents), first=first)
    sheets: dict[int, list[Label]] = {}
    for content, place in zip(contents, places, strict=True):
        sheets.setdefault(place.sheet, []).append(_label(content, place, grid))
    return Sheets(title, language, grid, tuple(tuple(each) for each in sheets.values()))


def _label(content: Content, place: Place, grid: Grid) -> Label:
    """Return a label with its codes, as far as there is room for them."""
    room, height = grid.width - 2 * PADDING, grid.height - 2 * PADDING
    side = min(height, room * SQUARE_SHARE, LARGEST_SQUARE)
    bars = _bars(content.code, room, max(LOWEST_BARS, height * BAR_SHARE))
    if bars is None:
        square: Picture | None = _square(content.address or content.code, side)
    else:
        height -= bars.height + (GAP if content.is_stamped else _line(grid) + GAP)
        side = min(side, height)
        square = _square(content.address, side) if content.address and side > NO_SQUARE else None
    return Label(
        content,
        place,
        bars,
        square,
        text_width=room - (side + GAP if square else 0),
        text_height=_whole_lines(height, content, grid),
    )


def _line(grid: Grid) -> Decimal:
    """Return the height of a line of text in mm."""
    return text_size(grid) * LEADING / POINTS


def _whole_lines(room: Decimal, content: Content, grid: Grid) -> Decimal:
    """Return how much of a height whole lines take, so that none is cut through."""
    first = name_size(grid) * LEADING / POINTS if content.is_stamped else Decimal(0)
    lines = max(Decimal(0), (room - first) // _line(grid))
    return (first + lines * _line(grid)).quantize(HUNDREDTH)


def _bars(code: str, room: Decimal, height: Decimal) -> Picture | None:
    """Return bars that fill the room, None where they would be too narrow to be read."""
    try:
        wide = module_mm(code, room)
    except CodeError:
        return None
    if wide is None:
        return None
    drawn = bars_drawn(code)
    return Picture(drawn, drawn.width * wide, height, f"Bars: {code}")


def _square(text: str, side: Decimal) -> Picture:
    """Return a QR code of that side."""
    return Picture(square_drawn(text), side, side, f"Code: {text}")


def labels_html(sheets: Sheets) -> str:
    """Return the labels as HTML, with the size of their sheet."""
    return render_to_string("print/labels.html", {"sheets": sheets, "grid": sheets.grid})


def labels_pdf(sheets: Sheets) -> bytes:
    """Return the labels as PDF; the same labels give the same bytes."""
    from inventory.paper.press import pdf_of

    return pdf_of(labels_html(sheets))


def repeated(contents: Iterable[Content], copies: int) -> list[Content]:
    """Return each content so many times, copies side by side."""
    return [each for each in contents for _ in range(copies)]
