"""What the database itself refuses of the pool: see ``inventory.triggers``.

A migration that alters one of these tables starts with ``RunPython(remove(*GUARDS),
install(*GUARDS))`` and ends with the reverse.
"""

from __future__ import annotations

from inventory.triggers import Guard

GUARDS = tuple(
    Guard(table, event, message)
    for table, message in (
        ("pool_poolentry", "An entry of the pool stays as it is; take it back with another one."),
        ("pool_poolreturn", "A declared period stays as it is."),
    )
    for event in ("update", "delete")
)
