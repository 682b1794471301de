"""Installs the triggers that keep entries and declared periods as they are."""

from django.db import migrations

from inventory.triggers import install, remove
from quotes.pool.freezing import GUARDS


class Migration(migrations.Migration):
    """Triggers of the vendor's database."""

    dependencies = [("pool", "0001_initial")]

    operations = [migrations.RunPython(install(*GUARDS), remove(*GUARDS))]
