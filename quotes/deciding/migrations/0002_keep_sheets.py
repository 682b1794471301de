"""Installs the trigger that keeps decision sheets as they were saved."""

from django.db import migrations

from inventory.triggers import Guard, install, remove

GUARDS = (
    Guard("deciding_decisionsheet", "update", "A decision sheet stays as it was saved."),
    Guard("deciding_decisionsheet", "delete", "A decision sheet is kept."),
)


class Migration(migrations.Migration):
    """Triggers of the vendor's database."""

    dependencies = [("deciding", "0001_initial")]

    operations = [migrations.RunPython(install(*GUARDS), remove(*GUARDS))]
