"""The full-text indexes: GIN over text vectors on PostgreSQL, FTS5 with triggers on SQLite.

Both hold the words as they are written, without stems, and find them by their beginnings. Articles
are in them as long as they are sold and matched with a part of ours.

SQLite drops a table's triggers when a migration rebuilds the table: ``keep_in_step`` sees to that
after every migration. A SQLite without FTS5 has no index; the search does without it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from django.apps.registry import Apps
from django.db import connections
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.backends.base.schema import BaseDatabaseSchemaEditor
from django.db.models import F, Func, Q, Value

from inventory.search.words import ARTICLE_FIELDS, PART_FIELDS

CONFIG = "simple"
MARKS = "!\"#$%&'()*+,-./:;<=>?@[\\]^_`{|}~"
"""What parts words on both databases; PostgreSQL alone would read addresses, paths and signs."""


@dataclass(frozen=True, slots=True)
class Index:
    """An index over a table: which fields, of which rows; on SQLite kept by triggers."""

    name: str
    table: str
    fields: tuple[str, ...]
    only: str = ""
    watched: tuple[str, ...] = ()

    def on_sqlite(self) -> Iterator[str]:
        """Yield the statements that make the index, empty."""
        names = ", ".join(self.fields)
        yield (
            f"CREATE VIRTUAL TABLE IF NOT EXISTS {self.name} "
            f"USING fts5({names}, tokenize = 'unicode61 remove_diacritics 0')"
        )
        drop = f"DELETE FROM {self.name} WHERE rowid = OLD.id;"  # noqa: S608 - our own constants
        for event in ("insert", "update", "delete"):
            of = f" OF {', '.join(self.fields + self.watched)}" if event == "update" else ""
            body = ("" if event == "insert" else drop) + ("" if event == "delete" else self.add())
            yield (
                f"CREATE TRIGGER IF NOT EXISTS {self.name}_{event} AFTER {event.upper()}{of} "
                f"ON {self.table} BEGIN {body} END"
            )

    def add(self) -> str:
        """Return the statement that takes a new row in, where it belongs there."""
        names = ", ".join(self.fields)
        values = ", ".join(f"NEW.{field}" for field in self.fields)
        where = f" WHERE {self.only.format(row='NEW.')}" if self.only else ""
        return f"INSERT INTO {self.name}(rowid, {names}) SELECT NEW.id, {values}{where};"

    def fill(self) -> Iterator[str]:
        """Yield the statements that fill the index anew."""
        names = ", ".join(self.fields)
        where = f" WHERE {self.only.format(row='')}" if self.only else ""
        yield f"DELETE FROM {self.name}"  # noqa: S608 - our own constants
        yield f"INSERT INTO {self.name}(rowid, {names}) SELECT id, {names} FROM {self.table}{where}"  # noqa: S608 - our own constants


SOLD_FOR_OURS = "{row}part_id IS NOT NULL AND {row}valid_until IS NULL"
PARTS = Index("search_part", "parts_part", PART_FIELDS)
ARTICLES = Index(
    "search_article",
    "suppliers_supplierpart",
    ARTICLE_FIELDS,
    SOLD_FOR_OURS,
    ("part_id", "valid_until"),
)
INDEXES = (PARTS, ARTICLES)


def vector(fields: tuple[str, ...]) -> Any:  # noqa: ANN401 - known on PostgreSQL only
    """Return the text vector of some fields, as PostgreSQL reckons and indexes it."""
    from django.contrib.postgres.search import SearchVector

    spaces = Value(" " * len(MARKS))
    texts = [Func(F(field), Value(MARKS), spaces, function="TRANSLATE") for field in fields]
    return SearchVector(*texts, config=CONFIG)


def install(apps: Apps, schema_editor: BaseDatabaseSchemaEditor) -> None:
    """Make the indexes and fill them."""
    connection = schema_editor.connection
    if connection.vendor == "sqlite":
        make(connection)
    else:
        for model, index in _on_postgresql(apps):
            schema_editor.add_index(model, index)


def remove(apps: Apps, schema_editor: BaseDatabaseSchemaEditor) -> None:
    """Take the indexes away."""
    if schema_editor.connection.vendor == "sqlite":
        for index in INDEXES:
            for event in ("insert", "update", "delete"):
                schema_editor.execute(f"DROP TRIGGER IF EXISTS {index.name}_{event}", None)
            schema_editor.execute(f"DROP TABLE IF EXISTS {index.name}", None)
    else:
        for model, index in _on_postgresql(apps):
            schema_editor.remove_index(model, index)


def _on_postgresql(apps: Apps) -> Iterator[tuple[Any, Any]]:
    """Yield the models with their indexes."""
    from django.contrib.postgres.indexes import GinIndex

    yield apps.get_model("parts", "Part"), GinIndex(vector(PART_FIELDS), name=PARTS.name)
    yield (
        apps.get_model("suppliers", "SupplierPart"),
        GinIndex(
            vector(ARTICLE_FIELDS),
            name=ARTICLES.name,
            condition=Q(part__isnull=False, valid_until__isnull=True),
        ),
    )


def make(connection: BaseDatabaseWrapper) -> None:
    """Make what is missing of the indexes on SQLite, and fill them; nothing without FTS5."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT sqlite_compileoption_used('ENABLE_FTS5')")
        if not cursor.fetchone()[0]:
            return
        for index in INDEXES:
            for statement in (*index.on_sqlite(), *index.fill()):
                cursor.execute(statement)


def there(connection: BaseDatabaseWrapper) -> int:
    """Return how many of the tables and triggers of the indexes there are on SQLite."""
    names = [index.name for index in INDEXES]
    names += [f"{name}_{event}" for name in names for event in ("insert", "update", "delete")]
    slots = ", ".join(["%s"] * len(names))
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT COUNT(*) FROM sqlite_master WHERE name IN ({slots})", names)  # noqa: S608 - the names are parameters
        return int(cursor.fetchone()[0])


EVERYTHING = len(INDEXES) * 4


def keep_in_step(using: str, **_signal: object) -> None:
    """Make anew what a migration took away with a table that it rebuilt."""
    connection = connections[using]
    if connection.vendor == "sqlite" and 0 < there(connection) < EVERYTHING:
        make(connection)
