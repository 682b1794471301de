"""Parts in which every word begins one: of ours, or of those who sell them."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django.db import connections
from django.db.models import Q, QuerySet
from django.db.models.expressions import RawSQL

from inventory.parts.models import Part
from inventory.search.indexing import ARTICLES, EVERYTHING, PARTS, there, vector
from inventory.search.words import ARTICLE_FIELDS, PART_FIELDS, words_of
from inventory.suppliers.models import SupplierPart

SOLD = Q(part__isnull=False, valid_until__isnull=True)
ON_SQLITE = (
    f"SELECT rowid FROM {PARTS.name} WHERE {PARTS.name} MATCH %s "  # noqa: S608 - our own constants
    f"UNION SELECT part_id FROM {ARTICLES.table} WHERE id IN "
    f"(SELECT rowid FROM {ARTICLES.name} WHERE {ARTICLES.name} MATCH %s)"
)


def parts_found(rows: QuerySet[Part], text: str) -> QuerySet[Part]:
    """Return the parts in which every word of the text begins a word, by the full-text index.

    A word may stand in the part's name, code, article number, place or note, or in the code, name
    or article number under which somebody sells it. Where no part has words that begin so, and
    where there is no index, the words may stand anywhere.
    """
    words = words_of(text)
    if words and has_index(rows.db):
        found = begun(rows, words)
        if found.exists():
            return found
    return within(rows, text)


def has_index(using: str) -> bool:
    """Tell whether the database has the full-text index, whole."""
    connection = connections[using]
    return connection.vendor == "postgresql" or there(connection) == EVERYTHING


def begun(rows: QuerySet[Part], words: Iterable[str]) -> QuerySet[Part]:
    """Return the parts in which every word begins one."""
    find = _on_postgresql if connections[rows.db].vendor == "postgresql" else _on_sqlite
    for word in words:
        rows = rows.filter(pk__in=find(word))
    return rows


def _on_sqlite(word: str) -> RawSQL:
    """Return the keys of the parts that a word finds; it is letters and figures only."""
    asked = f'"{word}"*'
    return RawSQL(ON_SQLITE, (asked, asked))  # noqa: S611 - the word is a parameter


def _on_postgresql(word: str) -> QuerySet[Any, Any]:
    """Return the keys of the parts that a word finds; it is letters and figures only."""
    from django.contrib.postgres.search import SearchQuery

    asked = SearchQuery(f"'{word}':*", config="simple", search_type="raw")
    parts = Part.objects.order_by().alias(words=vector(PART_FIELDS)).filter(words=asked)
    sold = SupplierPart.objects.order_by().filter(SOLD)
    sold = sold.alias(words=vector(ARTICLE_FIELDS)).filter(words=asked)
    return parts.values("pk").union(sold.values("part_id"))


def within(rows: QuerySet[Part], text: str) -> QuerySet[Part]:
    """Return the parts in which every word stands somewhere, without an index.

    A NUL, which PostgreSQL refuses to be asked for, parts words as a space does.
    """
    for word in text.replace("\0", " ").split():
        sold = SupplierPart.objects.filter(SOLD).filter(_anywhere(ARTICLE_FIELDS, word))
        rows = rows.filter(_anywhere(PART_FIELDS, word) | Q(pk__in=sold.values("part_id")))
    return rows


def _anywhere(fields: Iterable[str], word: str) -> Q:
    """Return that a word stands in one of the fields."""
    found = Q()
    for field in fields:
        found |= Q(**{f"{field}__icontains": word})
    return found
