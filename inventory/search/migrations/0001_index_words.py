from django.db import migrations

from inventory.search.indexing import install, remove


class Migration(migrations.Migration):

    dependencies = [
        ('parts', '0003_fit_facts_and_stock_figures'),
        ('suppliers', '0001_initial'),
    ]

    operations = [
        migrations.RunPython(install, remove),
    ]
