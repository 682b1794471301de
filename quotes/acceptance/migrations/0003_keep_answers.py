"""Installs the triggers that keep recorded answers as they are."""

from django.db import migrations

from quotes.quoting.freezing import keep, release


class Migration(migrations.Migration):
    """Triggers of the vendor's database."""

    dependencies = [
        ("acceptance", "0002_initial"),
        ("quoting", "0003_freeze_what_is_issued"),
    ]

    operations = [
        migrations.RunPython(keep(table), release(table))
        for table in ("acceptance_acceptance", "acceptance_linedecision")
    ]
