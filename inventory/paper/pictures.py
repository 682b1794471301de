"""Small pictures that a printed page names by ``shape:…``; the layer above brings them."""

from __future__ import annotations

from collections.abc import Mapping

_pictures: dict[str, bytes] = {}


def add_pictures(pictures: Mapping[str, bytes]) -> None:
    """Take pictures (SVG) by their names from here on; called as the site starts."""
    _pictures.update(pictures)


def picture(name: str) -> bytes | None:
    """Return a picture by its name, None where there is none."""
    return _pictures.get(name)
