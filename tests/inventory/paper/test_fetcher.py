"""What a printed page may load, and what it may not."""

from __future__ import annotations

import pytest

from inventory.paper.fetcher import PaperFetcher, RefusedError
from inventory.paper.press import STATIC
from workshop.core.shapes import SHAPES


@pytest.fixture
def fetcher(tmp_path):
    """A fetcher for a folder of its own with one style sheet, beside a file that is no business."""
    static = tmp_path / "static"
    static.mkdir()
    (static / "a.css").write_text("p { color: red }")
    (static / "notes.txt").write_text("not for paper")
    (tmp_path / "secret.css").write_text("secret")
    return PaperFetcher(static, {"photo:7": b"jpeg"})


def test_it_serves_static_files_photos_and_shapes(fetcher, tmp_path):
    url = (tmp_path / "static" / "a.css").as_uri()
    assert fetcher.fetch(url).read() == b"p { color: red }"
    assert fetcher.fetch("photo:7").read() == b"jpeg"
    for judgement in SHAPES:
        assert fetcher.fetch(f"shape:{judgement}").read().startswith(b"<svg ")


def test_it_unpacks_the_fonts_of_the_shop_the_same_way_at_any_time(monkeypatch):
    url = (STATIC / "fonts" / "source-sans-3-latin-400.woff").as_uri()
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1000000000")
    once = PaperFetcher(STATIC).fetch(url).read()
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1700000000")
    assert once[:4] == b"\x00\x01\x00\x00"
    assert PaperFetcher(STATIC).fetch(url).read() == once


@pytest.mark.parametrize(
    "url",
    [
        "https://example.org/a.css",
        "http://127.0.0.1/",
        "ftp://example.org/a.css",
        "data:text/css,p{}",
        "photo:8",
        "shape:lovely",
        "file:///etc/passwd",
        "file://server/static/a.css",
        "a.css",
    ],
)
def test_it_refuses_everything_else(fetcher, url):
    with pytest.raises(RefusedError, match="may not load"):
        fetcher.fetch(url)


def test_it_refuses_what_lies_outside_its_folder(fetcher, tmp_path):
    static = tmp_path / "static"
    (static / "link.css").symlink_to(tmp_path / "secret.css")
    for path in ("../secret.css", "%2e%2e/secret.css", "link.css", "notes.txt", "missing.css", ""):
        with pytest.raises(RefusedError):
            fetcher.fetch(f"{static.as_uri()}/{path}")
