"""The database's own refusal to change the ledger: triggers for SQLite and PostgreSQL.

SQLite has none on DELETE, since emptying a table there is a DELETE as well; the model refuses it.
A migration that alters the table starts with ``RunPython(thaw, freeze)`` and ends with
``RunPython(freeze, thaw)``: SQLite drops a table's triggers when it rebuilds the table.
"""

from __future__ import annotations

from django.apps.registry import Apps
from django.db.backends.base.schema import BaseDatabaseSchemaEditor

TABLE = "stock_stockmovement"
MESSAGE = "A stock movement stays as it is. Take it back with another one."
FUNCTION = "stock_kept_movement"
ON_SQLITE = (
    f"CREATE TRIGGER {TABLE}_update_kept BEFORE UPDATE ON {TABLE} "
    f"BEGIN SELECT RAISE(ABORT, '{MESSAGE}'); END"
)
FUNCTION_ON_POSTGRESQL = (
    f"CREATE OR REPLACE FUNCTION {FUNCTION}() RETURNS trigger LANGUAGE plpgsql AS $$ "
    f"BEGIN RAISE EXCEPTION '{MESSAGE}' USING ERRCODE = '23001'; END $$"
)


def freeze(apps: Apps, schema_editor: BaseDatabaseSchemaEditor) -> None:
    """Install the triggers on the vendor's database."""
    if schema_editor.connection.vendor == "sqlite":
        schema_editor.execute(ON_SQLITE, params=None)
        return
    schema_editor.execute(FUNCTION_ON_POSTGRESQL, params=None)
    for event in ("update", "delete"):
        schema_editor.execute(
            f"CREATE TRIGGER {TABLE}_{event}_kept BEFORE {event.upper()} ON {TABLE} "
            f"FOR EACH ROW EXECUTE FUNCTION {FUNCTION}()",
            params=None,
        )


def thaw(apps: Apps, schema_editor: BaseDatabaseSchemaEditor) -> None:
    """Remove the triggers, where they are."""
    where = "" if schema_editor.connection.vendor == "sqlite" else f" ON {TABLE}"
    for event in ("update", "delete"):
        schema_editor.execute(f"DROP TRIGGER IF EXISTS {TABLE}_{event}_kept{where}", None)
