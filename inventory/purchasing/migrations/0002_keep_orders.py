from django.db import migrations

from inventory.purchasing.freezing import freeze, thaw


class Migration(migrations.Migration):

    dependencies = [
        ('purchasing', '0001_initial'),
        ('stock', '0002_keep_movements'),
    ]

    operations = [
        migrations.RunPython(freeze, thaw),
    ]
