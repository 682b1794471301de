"""Parts in which every word begins one: of ours, or of those who sell them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from django.db import connections
from django.db.models import Exists, OuterRef, Q, QuerySet
from django.db.models.expressions import RawSQL

from inventory.parts.models import Part
from inventory.search.indexing import ARTICLES, CONFIG, EVERYTHING, PARTS, there, vector
from inventory.search.words import ARTICLE_FIELDS, PART_FIELDS, words_of
from inventory.suppliers.models import SupplierPart

MOST_KEYS = 1000
"""Up to so many parts are looked up once and then told by their keys; more are looked up again."""
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
        keys = _first_keys(_narrowed(rows, words))
        if len(keys) > MOST_KEYS:
            return begun_by_many(rows, words)
        if keys:
            return rows.filter(pk__in=keys)
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


def begun_by_many(rows: QuerySet[Part], words: Iterable[str]) -> QuerySet[Part]:
    """Return what ``begun`` does, where that is much: told row by row, in the order asked for.

    PostgreSQL keeps what the index gives beside it and stops when the page is full; ``begun`` would
    have it sort all that is found for each page.
    """
    if connections[rows.db].vendor != "postgresql":
        return begun(rows, words)
    for word in words:
        parts, sold = _indexed(word)
        rows = rows.filter(Q(pk__in=parts) | Q(pk__in=sold))
    return rows


def _first_keys(rows: QuerySet[Part]) -> list[int]:
    """Return the keys of parts, one more than are told by their keys at most."""
    return list(rows.order_by().values_list("pk", flat=True)[: MOST_KEYS + 1])


def _narrowed(rows: QuerySet[Part], words: Sequence[str]) -> QuerySet[Part]:
    """Return what ``begun`` does; a single letter or figure is looked for last, where that helps.

    So much begins with it that the index gives nearly every part: where the longer words find few,
    those alone are read.
    """
    longer = [word for word in words if len(word) > 1]
    if connections[rows.db].vendor != "postgresql" or len(longer) in {0, len(words)}:
        return begun(rows, words)
    keys = _first_keys(begun(rows, longer))
    if len(keys) > MOST_KEYS:
        return begun(rows, words)
    few = rows.filter(pk__in=keys)
    for word in words:
        if len(word) == 1:
            few = _beside(few, word)
    return few


def _on_sqlite(word: str) -> RawSQL:
    """Return the keys of the parts that a word finds; it is letters and figures only."""
    asked = f'"{word}"*'
    return RawSQL(ON_SQLITE, (asked, asked))  # noqa: S611 - the word is a parameter


def _on_postgresql(word: str) -> QuerySet[Any, Any]:
    """Return the keys of the parts that a word finds; it is letters and figures only."""
    parts, sold = _indexed(word)
    return parts.union(sold)


def _indexed(word: str) -> tuple[QuerySet[Any, Any], QuerySet[Any, Any]]:
    """Return the keys of the parts that a word finds, and of those that it finds as sold."""
    asked = _begins(word)
    parts = Part.objects.order_by().alias(words=vector(PART_FIELDS)).filter(words=asked)
    sold = SupplierPart.objects.order_by().filter(SOLD)
    sold = sold.alias(words=vector(ARTICLE_FIELDS)).filter(words=asked)
    return parts.values("pk"), sold.values("part_id")


def _beside(rows: QuerySet[Part], word: str) -> QuerySet[Part]:
    """Keep the parts that a word finds, reading each of them; they are few."""
    asked = _begins(word)
    sold = SupplierPart.objects.filter(SOLD, part=OuterRef("pk"))
    sold = sold.alias(words=vector(ARTICLE_FIELDS)).filter(words=asked)
    return rows.alias(words=vector(PART_FIELDS)).filter(Q(words=asked) | Exists(sold))


def _begins(word: str) -> Any:  # noqa: ANN401 - known on PostgreSQL only
    """Return the question for words that begin so.

    It is a subquery, so that PostgreSQL plans without its answer: where it knows that most parts
    begin so, it reads them all and reckons each one's vector anew, which takes ten times as long
    as the index does. Whether the index is used no longer hangs on the word.
    """
    from django.contrib.postgres.search import SearchQuery

    asked = SearchQuery(f"'{word}':*", config=CONFIG, search_type="raw")
    asked.template = "(SELECT %(function)s(%(expressions)s))"
    return asked


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
