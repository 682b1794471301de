"""The database's own refusal to change what was ordered and what came.

An order that is no draft keeps everything but how it ended; its state moves only along its way.
Its lines are neither added to nor changed. A delivery is written once, for an open order; more
than was ordered is refused unless a reason stands with it. SQLite has no triggers on DELETE,
since emptying a table there is a DELETE as well; the models refuse it.

SQLite drops a table's triggers when a migration rebuilds the table, and refuses the rebuild while
triggers elsewhere name it. A migration that alters one of these tables therefore starts with
``RunPython(thaw, freeze)`` and ends with ``RunPython(freeze, thaw)``.
"""

from __future__ import annotations

from dataclasses import dataclass

from django.apps.registry import Apps
from django.db.backends.base.schema import BaseDatabaseSchemaEditor

ORDER, LINE = "purchasing_purchaseorder", "purchasing_purchaseline"
DELIVERY, CAME = "purchasing_delivery", "purchasing_deliveryline"
DOCUMENT = "purchasing_orderdocument"
EVENTS = ("insert", "update", "delete")

SENT = "An order that was sent stays as it is. Cancel or close it."
NOT_OPEN = "Goods come in for an order that is open."
TOO_MANY = "More came than was ordered, and no reason stands with it."

ENDING = ("state", "closed_at", "closed_by_id", "close_reason")
"""The columns of a sent order that may change."""
ON_ITS_WAY = (
    "(OLD.state IN ('ordered', 'part_delivered')"
    " AND NEW.state IN ('ordered', 'part_delivered', 'closed', 'cancelled'))"
    " OR (OLD.state = 'closed' AND OLD.close_reason = ''"
    " AND NEW.state IN ('closed', 'ordered', 'part_delivered'))"
)
NO_DRAFT = (
    f"(SELECT state FROM {ORDER}"  # noqa: S608 - our own names
    " WHERE id = {row}.order_id) <> 'draft'"
)
ORDER_NOT_OPEN = (
    f"(SELECT state FROM {ORDER} WHERE id = NEW.order_id)"  # noqa: S608 - our own names
    " NOT IN ('ordered', 'part_delivered')"
)
OVER = (
    f"NEW.over_reason = '' AND ROUND(NEW.quantity + (SELECT COALESCE(SUM(c.quantity), 0)"  # noqa: S608 - our own names
    f" FROM {CAME} c WHERE c.line_id = NEW.line_id AND NOT EXISTS"
    " (SELECT 1 FROM stock_stockmovement m WHERE m.reversal_of_id = c.movement_id)), 2)"
    f" > (SELECT pack * packs FROM {LINE} WHERE id = NEW.line_id)"
)


@dataclass(frozen=True, slots=True)
class Refusal:
    """An event on a table that is refused where a condition on the rows holds, with a message."""

    table: str
    event: str
    condition: str
    message: str

    @property
    def name(self) -> str:
        """Return the trigger's name."""
        return f"{self.table}_{self.event}_kept"

    def on_sqlite(self) -> list[str]:
        """Return the statement for SQLite, none for deleting."""
        if self.event == "delete":
            return []
        return [
            (
                f"CREATE TRIGGER {self.name} BEFORE {self.event.upper()} ON {self.table} "
                f"WHEN {self.condition} BEGIN SELECT RAISE(ABORT, '{self.message}'); END"
            )
        ]

    def on_postgresql(self) -> list[str]:
        """Return the statements for PostgreSQL; the error is of the integrity class (23001)."""
        row = "OLD" if self.event == "delete" else "NEW"
        return [
            (
                f"CREATE OR REPLACE FUNCTION {self.name}() RETURNS trigger LANGUAGE plpgsql AS $$ "
                f"BEGIN IF {self.condition} THEN RAISE EXCEPTION '{self.message}' "
                f"USING ERRCODE = '23001'; END IF; RETURN {row}; END $$"
            ),
            (
                f"CREATE TRIGGER {self.name} BEFORE {self.event.upper()} ON {self.table} "
                f"FOR EACH ROW EXECUTE FUNCTION {self.name}()"
            ),
        ]


def refusals(columns: list[str]) -> list[Refusal]:
    """Return all refusals; ``columns`` are those of the orders' table."""
    same = " AND ".join(
        f"OLD.{each} IS NOT DISTINCT FROM NEW.{each}" for each in columns if each not in ENDING
    )
    old, new = NO_DRAFT.format(row="OLD"), NO_DRAFT.format(row="NEW")
    always = [
        Refusal(table, event, "TRUE", SENT)
        for table in (DELIVERY, CAME, DOCUMENT)
        for event in ("update", "delete")
    ]
    return [
        Refusal(ORDER, "update", f"OLD.state <> 'draft' AND NOT ({same} AND ({ON_ITS_WAY}))", SENT),
        Refusal(ORDER, "delete", "OLD.state <> 'draft'", SENT),
        Refusal(LINE, "insert", new, SENT),
        Refusal(LINE, "update", f"{old} OR {new}", SENT),
        Refusal(LINE, "delete", old, SENT),
        Refusal(DELIVERY, "insert", ORDER_NOT_OPEN, NOT_OPEN),
        Refusal(CAME, "insert", OVER, TOO_MANY),
        *always,
    ]


def freeze(apps: Apps, schema_editor: BaseDatabaseSchemaEditor) -> None:
    """Install the triggers on the vendor's database."""
    with schema_editor.connection.cursor() as cursor:
        table = schema_editor.connection.introspection.get_table_description(cursor, ORDER)
    on_sqlite = schema_editor.connection.vendor == "sqlite"
    for each in refusals([column.name for column in table]):
        for statement in each.on_sqlite() if on_sqlite else each.on_postgresql():
            # SQLite before 3.39 does not know IS DISTINCT FROM; its IS means the same
            short = statement.replace("IS NOT DISTINCT FROM", "IS") if on_sqlite else statement
            schema_editor.execute(short, params=None)


def thaw(apps: Apps, schema_editor: BaseDatabaseSchemaEditor) -> None:
    """Remove the triggers, where they are."""
    for table in (ORDER, LINE, DELIVERY, CAME, DOCUMENT):
        where = "" if schema_editor.connection.vendor == "sqlite" else f" ON {table}"
        for event in EVENTS:
            schema_editor.execute(f"DROP TRIGGER IF EXISTS {table}_{event}_kept{where}", None)
