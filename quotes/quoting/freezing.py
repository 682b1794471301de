"""The database's own refusal to change what has been issued: triggers for SQLite and PostgreSQL.

A revision that is not a draft keeps everything but its state, which only moves forward. Its
findings, lines and changes are neither added to, nor changed, nor (on PostgreSQL) deleted. SQLite
has no triggers on DELETE since emptying a table there is a DELETE as well; the models refuse it.

SQLite drops a table's triggers when a migration rebuilds the table, and refuses the rebuild while
triggers elsewhere name it. A migration that alters one of these tables therefore starts with
``RunPython(thaw, freeze)`` and ends with ``RunPython(freeze, thaw)``.
"""

from __future__ import annotations

from collections.abc import Callable

from django.apps.registry import Apps
from django.db.backends.base.schema import BaseDatabaseSchemaEditor

REVISION = "quoting_revision"
ROWS = ("quoting_quotedfinding", "quoting_line", "quoting_linechange")
LINKS = "quoting_line_findings"
DOCUMENT = "quoting_sentdocument"
KEPT_FUNCTION = "quoting_frozen_document"

REVISION_MESSAGE = "This revision has been issued and stays as it is; make a new one."
ROW_MESSAGE = "This belongs to a revision that has been issued; make a new one to change it."
DOCUMENT_MESSAGE = "What was sent or answered is kept as it is."

FORWARD = (
    "(OLD.state = NEW.state OR (OLD.state = 'sent' AND NEW.state IN "
    "('accepted', 'part_accepted', 'refused', 'superseded')))"
)


def freeze(apps: Apps, schema_editor: BaseDatabaseSchemaEditor) -> None:
    """Install the triggers on the vendor's database."""
    vendor = schema_editor.connection.vendor
    statements = _sqlite(schema_editor) if vendor == "sqlite" else _postgresql()
    for statement in statements:
        schema_editor.execute(statement, params=None)


def thaw(apps: Apps, schema_editor: BaseDatabaseSchemaEditor) -> None:
    """Remove the triggers, where they are."""
    for table in (REVISION, *ROWS, LINKS, DOCUMENT):
        _drop(table, schema_editor)


def keep(table: str) -> Callable[[Apps, BaseDatabaseSchemaEditor], None]:
    """Return what makes a migration keep a table's rows from being changed, whatever they say.

    ``freeze`` must have run before; ``release`` undoes it.
    """

    def run(apps: Apps, schema_editor: BaseDatabaseSchemaEditor) -> None:
        if schema_editor.connection.vendor == "sqlite":
            statements = [_on_sqlite(table, "update", "1", DOCUMENT_MESSAGE)]
        else:
            events = ("update", "delete")
            statements = [_on_postgresql(table, each, KEPT_FUNCTION) for each in events]
        for statement in statements:
            schema_editor.execute(statement, params=None)

    return run


def release(table: str) -> Callable[[Apps, BaseDatabaseSchemaEditor], None]:
    """Return what undoes ``keep``."""

    def run(apps: Apps, schema_editor: BaseDatabaseSchemaEditor) -> None:
        _drop(table, schema_editor)

    return run


def _drop(table: str, editor: BaseDatabaseSchemaEditor) -> None:
    """Remove a table's triggers, where they are."""
    where = "" if editor.connection.vendor == "sqlite" else f" ON {table}"
    for event in ("insert", "update", "delete"):
        editor.execute(f"DROP TRIGGER IF EXISTS {table}_{event}_frozen{where}", None)


def _sqlite(editor: BaseDatabaseSchemaEditor) -> list[str]:
    """Return the statements for SQLite, for the columns that the tables have now."""
    with editor.connection.cursor() as cursor:
        described = editor.connection.introspection.get_table_description(cursor, REVISION)
    same = " AND ".join(f"OLD.{c.name} IS NEW.{c.name}" for c in described if c.name != "state")
    issued = "(SELECT state FROM quoting_revision WHERE id = {row}.revision_id) <> 'draft'"
    linked = (
        "(SELECT state FROM quoting_revision JOIN quoting_line"
        " ON quoting_line.revision_id = quoting_revision.id"
        " WHERE quoting_line.id = {row}.line_id) <> 'draft'"
    )
    statements = [
        _on_sqlite(
            REVISION,
            "update",
            f"OLD.state <> 'draft' AND NOT ({same} AND {FORWARD})",
            REVISION_MESSAGE,
        ),
        _on_sqlite(DOCUMENT, "update", "1", DOCUMENT_MESSAGE),
    ]
    for table, condition in [*((row, issued) for row in ROWS), (LINKS, linked)]:
        new, old = condition.format(row="NEW"), condition.format(row="OLD")
        statements += [
            _on_sqlite(table, "insert", new, ROW_MESSAGE),
            _on_sqlite(table, "update", f"{old} OR {new}", ROW_MESSAGE),
        ]
    return statements


def _on_sqlite(table: str, event: str, condition: str, message: str) -> str:
    """Return a trigger that refuses an event where a condition holds."""
    return (
        f"CREATE TRIGGER {table}_{event}_frozen BEFORE {event.upper()} ON {table} "
        f"WHEN {condition} BEGIN SELECT RAISE(ABORT, '{message}'); END"
    )


def _postgresql() -> list[str]:
    """Return the statements for PostgreSQL; errors are of the integrity class (23001)."""
    statements = [
        _function(
            "quoting_frozen_revision",
            f"""
            IF OLD.state <> 'draft' AND (TG_OP = 'DELETE' OR NOT
                (to_jsonb(OLD) - 'state' = to_jsonb(NEW) - 'state' AND {FORWARD}))
            THEN {_raise(REVISION_MESSAGE)} END IF;
            """,
        ),
        _function(
            "quoting_frozen_row",
            f"""
            IF TG_OP <> 'INSERT' AND (SELECT state FROM quoting_revision
                WHERE id = OLD.revision_id) <> 'draft' THEN {_raise(ROW_MESSAGE)} END IF;
            IF TG_OP <> 'DELETE' AND (SELECT state FROM quoting_revision
                WHERE id = NEW.revision_id) <> 'draft' THEN {_raise(ROW_MESSAGE)} END IF;
            """,  # noqa: S608 - our own constants
        ),
        _function(
            "quoting_frozen_link",
            f"""
            IF TG_OP <> 'INSERT' AND (SELECT r.state FROM quoting_revision r
                JOIN quoting_line l ON l.revision_id = r.id WHERE l.id = OLD.line_id) <> 'draft'
            THEN {_raise(ROW_MESSAGE)} END IF;
            IF TG_OP <> 'DELETE' AND (SELECT r.state FROM quoting_revision r
                JOIN quoting_line l ON l.revision_id = r.id WHERE l.id = NEW.line_id) <> 'draft'
            THEN {_raise(ROW_MESSAGE)} END IF;
            """,  # noqa: S608 - our own constants
        ),
        _function(KEPT_FUNCTION, _raise(DOCUMENT_MESSAGE)),
    ]
    events = {
        REVISION: ("quoting_frozen_revision", ("update", "delete")),
        LINKS: ("quoting_frozen_link", ("insert", "update", "delete")),
        DOCUMENT: (KEPT_FUNCTION, ("update", "delete")),
    } | dict.fromkeys(ROWS, ("quoting_frozen_row", ("insert", "update", "delete")))
    return statements + [
        _on_postgresql(table, event, function)
        for table, (function, each) in events.items()
        for event in each
    ]


def _on_postgresql(table: str, event: str, function: str) -> str:
    """Return a trigger that calls a function before an event."""
    return (
        f"CREATE TRIGGER {table}_{event}_frozen BEFORE {event.upper()} ON {table} "
        f"FOR EACH ROW EXECUTE FUNCTION {function}()"
    )


def _function(name: str, body: str) -> str:
    """Return a trigger function that lets the row pass unless its body raises."""
    return (
        f"CREATE OR REPLACE FUNCTION {name}() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN {body} "
        "IF TG_OP = 'DELETE' THEN RETURN OLD; END IF; RETURN NEW; END $$"
    )


def _raise(message: str) -> str:
    """Return the statement that refuses, as a violation of integrity."""
    return f"RAISE EXCEPTION '{message}' USING ERRCODE = '23001';"
