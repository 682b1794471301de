from django.db import migrations

from inventory.stock.freezing import freeze, thaw


class Migration(migrations.Migration):

    dependencies = [
        ('stock', '0001_initial'),
    ]

    operations = [
        migrations.RunPython(freeze, thaw),
    ]
