"""Notes with an access step which labour needs it."""

from django.db import migrations, models

from quotes.quoting.freezing import freeze, thaw


def field() -> models.Field:
    """Return the keys of the labour; empty for what was priced before."""
    return models.JSONField(blank=True, default=list, verbose_name="labour that needs it")


class Migration(migrations.Migration):
    """The triggers go first and come back, since SQLite rebuilds the table."""

    dependencies = [("quoting", "0003_freeze_what_is_issued")]

    operations = [
        migrations.RunPython(thaw, freeze),
        migrations.AddField("line", "needed_by", field()),
        migrations.AddField("historicalline", "needed_by", field()),
        migrations.RunPython(freeze, thaw),
    ]
