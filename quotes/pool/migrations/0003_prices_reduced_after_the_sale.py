"""Lets the pool say that a price was reduced after the sale."""

from django.conf import settings
from django.db import migrations, models

from inventory.triggers import install, remove
from quotes.pool.freezing import GUARDS


class Migration(migrations.Migration):
    """The triggers are away while the table is rebuilt."""

    dependencies = [
        ('bikes', '0006_sizes'),
        ('pool', '0002_keep_what_is_entered'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.RunPython(remove(*GUARDS), install(*GUARDS)),
        migrations.RemoveConstraint(
            model_name='poolentry',
            name='pool_entry_kind_known',
        ),
        migrations.AlterField(
            model_name='poolentry',
            name='kind',
            field=models.CharField(choices=[('purchase', 'bought'), ('sale', 'sold'), ('reduced', 'price reduced after the sale'), ('leaving', 'left the pool unsold'), ('opening', 'in stock on joining'), ('closing', 'in stock on leaving')], max_length=10, verbose_name='what happened'),
        ),
        migrations.AddConstraint(
            model_name='poolentry',
            constraint=models.CheckConstraint(condition=models.Q(('kind__in', ['purchase', 'sale', 'reduced', 'leaving', 'opening', 'closing'])), name='pool_entry_kind_known'),
        ),
        migrations.RunPython(install(*GUARDS), remove(*GUARDS)),
    ]
