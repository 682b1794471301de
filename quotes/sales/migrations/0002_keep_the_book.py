"""Installs the triggers that keep the stock book as it was written."""

from django.db import migrations

from quotes.sales.freezing import GUARDS
from inventory.triggers import install, remove


class Migration(migrations.Migration):
    """Triggers of the vendor's database."""

    dependencies = [("sales", "0001_initial")]

    operations = [migrations.RunPython(install(*GUARDS), remove(*GUARDS))]
