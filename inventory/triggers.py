"""The database's own refusal to change rows that are settled: triggers for both vendors.

SQLite gets none on DELETE, since emptying a table there is a DELETE as well; the models refuse
it. SQLite drops a table's triggers when a migration rebuilds the table: such a migration starts
with ``RunPython(remove(...), install(...))`` and ends with the reverse.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from django.apps.registry import Apps
from django.db.backends.base.schema import BaseDatabaseSchemaEditor

Step = Callable[[Apps, BaseDatabaseSchemaEditor], None]


@dataclass(frozen=True, slots=True)
class Guard:
    """Refuses an event (insert, update or delete) on a table's rows where a condition holds.

    The condition is SQL that both vendors read and speaks of the rows OLD and NEW. Where a table
    has several guards of one event, ``because`` tells them apart.
    """

    table: str
    event: str
    message: str
    condition: str = "1 = 1"
    because: str = "refused"

    @property
    def name(self) -> str:
        """Return the name of the trigger."""
        return f"{self.table}_{self.event}_{self.because}"


def install(*guards: Guard) -> Step:
    """Return what installs the guards; ``remove`` undoes it."""

    def run(_apps: Apps, editor: BaseDatabaseSchemaEditor) -> None:
        for guard in guards:
            for statement in _statements(guard, editor.connection.vendor):
                editor.execute(statement, params=None)

    return run


def remove(*guards: Guard) -> Step:
    """Return what removes the guards, where they are."""

    def run(_apps: Apps, editor: BaseDatabaseSchemaEditor) -> None:
        where = {each.name: f" ON {each.table}" for each in guards}
        for name, table in where.items():
            on = "" if editor.connection.vendor == "sqlite" else table
            editor.execute(f"DROP TRIGGER IF EXISTS {name}{on}", None)

    return run


def _statements(guard: Guard, vendor: str) -> list[str]:
    """Return the statements that install a guard."""
    before = f"CREATE TRIGGER {guard.name} BEFORE {guard.event.upper()} ON {guard.table}"
    if vendor == "sqlite":
        if guard.event == "delete":
            return []
        refusal = f"SELECT RAISE(ABORT, '{guard.message}'); END"
        return [f"{before} WHEN {guard.condition} BEGIN {refusal}"]
    row = "OLD" if guard.event == "delete" else "NEW"
    function = (
        f"CREATE OR REPLACE FUNCTION {guard.name}() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN "
        f"IF {guard.condition} THEN RAISE EXCEPTION '{guard.message}' USING ERRCODE = '23001'; "
        f"END IF; RETURN {row}; END $$"
    )
    return [function, f"{before} FOR EACH ROW EXECUTE FUNCTION {guard.name}()"]
