"""What a scanned code opens: each room says what its own codes mean, any search may ask."""

from __future__ import annotations

from collections.abc import Callable
from urllib.parse import urlsplit

from django.http import HttpRequest
from django.urls import Resolver404, resolve

Finder = Callable[[str], str | None]

_finders: list[Finder] = []


def on_scan(finder: Finder) -> Finder:
    """Let a room say which of its pages a code opens; called once, as the site starts."""
    if finder not in _finders:
        _finders.append(finder)
    return finder


def scanned(request: HttpRequest) -> str | None:
    """Return the page that the text in a list's search box opens.

    None where it is no code of ours, or where more is asked for than that text.
    """
    asked = {name for name, value in request.GET.items() if value}
    return opened_by(request.GET["q"]) if asked == {"q"} else None


def opened_by(text: str) -> str | None:
    """Return the page that a scanned text opens, None where it is no code of ours.

    Bars hold a number; the square code of a label holds the whole address of a page. Of an
    address only the path is followed, and only where this site has it.
    """
    code = text.strip()
    if not code:
        return None
    if code.startswith(("http://", "https://")):
        return _path_of(code)
    return next((url for finder in _finders if (url := finder(code))), None)


def _path_of(address: str) -> str | None:
    """Return the path of an address where it is one of a page of ours."""
    try:
        path = urlsplit(address).path
        resolve(path)
    except (Resolver404, ValueError):
        return None
    return None if path.startswith("//") else path
