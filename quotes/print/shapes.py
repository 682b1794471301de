"""The judgements' shapes as files of their own, as the printed page loads them."""

from __future__ import annotations

from workshop.core.shapes import SHAPES, SHEET

WHITE = "#ffffff"


def files() -> dict[str, bytes]:
    """Return each judgement's shape as SVG, on white."""
    return {judgement: _file(drawn) for judgement, drawn in SHAPES.items()}


def _file(drawn: str) -> bytes:
    """Return a shape as a file."""
    inner = drawn.replace(SHEET, WHITE)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="-12 -12 24 24" width="24" height="24">'
        f"{inner}</svg>"
    ).encode()
