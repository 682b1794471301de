"""Reading a printed quote back: its words, its amounts, its glyphs, its tags."""

from __future__ import annotations

import re
from decimal import Decimal
from typing import Any

from quotes.print.pdf import render_revision
from quotes.quoting.models import Revision
from quotes.quoting.selectors.page import revision_for_page
from tests.pdfs import pages_of, read

FIRST, TOTALS = "Finding and work", "Totals"  # headings
AMOUNT = r"(-?£[\d,]+\.\d\d)"
THREE = re.compile(rf"{AMOUNT} {AMOUNT} {AMOUNT}$", re.MULTILINE)
ONE = re.compile(rf"{AMOUNT}$", re.MULTILINE)


def rendered(revision: Revision) -> bytes:
    """Print a revision as it stands in the database."""
    return render_revision(revision_for_page(revision.pk))


def between(pdf: bytes, first: str, last: str) -> str:
    """Return the text between two headings, lines kept, without what repeats on each page."""
    text = "\n".join(pages_of(pdf))
    start = text.index(first) + len(first)
    return text[start : text.index(last, start)]


def money(text: str) -> Decimal:
    """Return a printed amount."""
    return Decimal(text.replace("£", "").replace(",", ""))


def triples(text: str) -> list[tuple[Decimal, Decimal, Decimal]]:
    """Return net, VAT and gross of every printed row."""
    return [(money(net), money(vat), money(gross)) for net, vat, gross in THREE.findall(text)]


def sum_of(rows: list[tuple[Decimal, Decimal, Decimal]]) -> tuple[Decimal, Decimal, Decimal]:
    """Add up rows column by column."""
    nets, vats, grosses = zip(*rows, strict=True)
    return sum(nets), sum(vats), sum(grosses)


def font_names(pdf: bytes) -> set[str]:
    """Return the names of the fonts used, without the mark of their subset."""
    names = set()
    for page in read(pdf).pages:
        resources: Any = page["/Resources"]
        for font in resources.get("/Font", {}).values():
            names.add(str(font.get_object()["/BaseFont"]).lstrip("/").partition("+")[2])
    return names


def elements(pdf: bytes) -> list[dict[str, Any]]:
    """Return the elements of the tag tree, in reading order."""
    catalogue: Any = read(pdf).trailer["/Root"]
    root = catalogue["/StructTreeRoot"]
    found: list[dict[str, Any]] = []

    def walk(kid: Any) -> None:
        kid = kid.get_object() if hasattr(kid, "get_object") else kid
        if isinstance(kid, list):
            for each in kid:
                walk(each)
        elif isinstance(kid, dict) and kid.get("/S"):
            found.append(kid)
            walk(kid.get("/K", []))

    walk(root["/K"])
    return found
