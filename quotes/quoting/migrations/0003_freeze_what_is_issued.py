"""Installs the triggers that keep issued revisions and sent documents as they are."""

from django.db import migrations

from quotes.quoting.freezing import freeze, thaw


class Migration(migrations.Migration):
    """Triggers of the vendor's database."""

    dependencies = [("quoting", "0002_no_work_and_not_tested")]

    operations = [migrations.RunPython(freeze, thaw)]
