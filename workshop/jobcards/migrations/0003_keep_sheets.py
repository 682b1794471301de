"""Installs the triggers that keep release sheets as they were given to customers."""

from django.db import migrations

from inventory.triggers import Guard, install, remove

GUARDS = (
    Guard(
        "jobcards_releasesheet",
        "update",
        "A release sheet stays as it was given to the customer.",
    ),
    Guard("jobcards_releasesheet", "delete", "A release sheet is kept."),
)


class Migration(migrations.Migration):
    """Triggers of the vendor's database."""

    dependencies = [("jobcards", "0002_release_sheet")]

    operations = [migrations.RunPython(install(*GUARDS), remove(*GUARDS))]
