"""The columns of price lists: what may stand in one, and what suppliers call it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from inventory.reading.rows import Row

HEAD_WITHIN = 40
"""Rows from the top in which the columns' names are looked for."""


@dataclass(frozen=True, slots=True)
class Column:
    """What a column holds; ``names`` are what suppliers call it, in plain letters."""

    key: str
    label: str
    must: bool
    names: tuple[str, ...]


COLUMNS = (
    Column(
        "code",
        "Code",
        must=True,
        names=(
            "code",
            "articlecode",
            "articleno",
            "articlenumber",
            "article",
            "itemno",
            "itemnumber",
            "itemcode",
            "item",
            "partno",
            "partnumber",
            "partcode",
            "productcode",
            "productno",
            "sku",
            "stockcode",
            "suppliercode",
            "reference",
            "ref",
            "artikelnummer",
            "artikelnr",
            "artnr",
            "artikel",
            "bestellnummer",
            "référence",
            "réf",
            "codearticle",
            "codice",
            "codicearticolo",
            "código",
            "referencia",
            "artikelkod",
            "varenummer",
        ),
    ),
    Column(
        "name",
        "Name",
        must=True,
        names=(
            "name",
            "description",
            "desc",
            "productname",
            "articlename",
            "itemname",
            "title",
            "product",
            "bezeichnung",
            "artikelbezeichnung",
            "beschreibung",
            "omschrijving",
            "désignation",
            "libellé",
            "descrizione",
            "descripción",
            "benämning",
            "beskrivelse",
        ),
    ),
    Column(
        "price",
        "List price, net",
        must=True,
        names=(
            "price",
            "listprice",
            "pricenet",
            "netprice",
            "tradeprice",
            "dealerprice",
            "wholesaleprice",
            "wholesale",
            "trade",
            "unitprice",
            "cost",
            "preis",
            "listenpreis",
            "nettopreis",
            "ekpreis",
            "ek",
            "händlerpreis",
            "prijs",
            "inkoopprijs",
            "prix",
            "prixht",
            "prezzo",
            "precio",
            "pris",
        ),
    ),
    Column(
        "gtin",
        "GTIN",
        must=False,
        names=("gtin", "ean", "eancode", "ean13", "barcode", "gtinean", "eangtin", "upc", "gencod"),
    ),
    Column(
        "pack",
        "Pack of",
        must=False,
        names=(
            "pack",
            "packsize",
            "packof",
            "packqty",
            "packquantity",
            "qty",
            "moq",
            "ve",
            "verpackungseinheit",
            "inhalt",
            "colisage",
            "confezione",
            "verpakking",
        ),
    ),
    Column(
        "discount",
        "Discount",
        must=False,
        names=("discount", "discountpercent", "rebate", "rabatt", "korting", "remise", "sconto"),
    ),
    Column(
        "currency",
        "Currency",
        must=False,
        names=("currency", "curr", "währung", "devise", "valuta"),
    ),
)
MUST = tuple(each.key for each in COLUMNS if each.must)
LABELS = {each.key: each.label for each in COLUMNS}


def plain(text: str) -> str:
    """Return a column's name as it is compared: letters and figures, no case."""
    return "".join(each for each in text.casefold() if each.isalnum())


BY_NAME = {plain(name): each.key for each in COLUMNS for name in each.names}


def stem(text: str) -> str:
    """Return a column's name without the currency or unit that may stand behind it."""
    words = text.replace("(", " ").replace("[", " ").split()
    return plain(" ".join(words[:-1])) if len(words) > 1 else ""


def known(text: str) -> bool:
    """Tell whether a text is what some supplier calls a column."""
    return plain(text) in BY_NAME


def head_among(rows: Sequence[Row]) -> Row | None:
    """Return the row that holds the columns' names: most known ones, else the first with two."""
    best = max(rows, key=lambda row: sum(map(known, row.cells)), default=None)
    if best is not None and sum(map(known, best.cells)) > 1:
        return best
    return next((row for row in rows if sum(map(bool, row.cells)) > 1), best)


def guessed(head: Sequence[str], saved: Mapping[str, str]) -> dict[str, int]:
    """Return the places of columns: as they were saved for this supplier, else by their names."""
    places: dict[str, int] = {}
    for key, name in saved.items():
        if name in head and key in LABELS:
            places[key] = list(head).index(name)
    for read in (plain, stem):
        for place, name in enumerate(head):
            key = BY_NAME.get(read(name), "")
            asked = not saved or key in saved
            if key and asked and key not in places and place not in places.values():
                places[key] = place
    return places


def doubles(head: Sequence[str]) -> list[str]:
    """Return the names that stand more than once in a head."""
    seen: set[str] = set()
    twice = []
    for name in head:
        if name and plain(name) in seen and name not in twice:
            twice.append(name)
        seen.add(plain(name))
    return twice
