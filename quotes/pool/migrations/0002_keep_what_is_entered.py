"""Installs the triggers that keep entries and declared periods as they are."""

from django.db import migrations

from inventory.triggers import Guard, install, remove

GUARDS = tuple(
    Guard(table, event, message)
    for table, message in (
        ("pool_poolentry", "An entry of the pool stays as it is; take it back with another one."),
        ("pool_poolreturn", "A declared period stays as it is."),
    )
    for event in ("update", "delete")
)


class Migration(migrations.Migration):
    """Triggers of the vendor's database."""

    dependencies = [("pool", "0001_initial")]

    operations = [migrations.RunPython(install(*GUARDS), remove(*GUARDS))]
