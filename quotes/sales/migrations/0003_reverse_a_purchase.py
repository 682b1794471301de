"""Lets a purchase be reversed, and its decision be entered anew after that."""

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models

from inventory.triggers import install, remove
from quotes.sales.freezing import GUARDS, PURCHASE, REVERSING

OF_PURCHASES = tuple(each for each in GUARDS if each.table == PURCHASE)


class Migration(migrations.Migration):
    """The purchase's triggers are away while its table is rebuilt."""

    dependencies = [
        ('buyin', '0002_initial'),
        ('pool', '0002_keep_what_is_entered'),
        ('sales', '0002_keep_the_book'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.RunPython(remove(*OF_PURCHASES), install(*OF_PURCHASES)),
        migrations.AlterField(
            model_name='purchase',
            name='check_made',
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='purchases', to='buyin.margincheck', verbose_name='margin check'),
        ),
        migrations.CreateModel(
            name='Reversal',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('reversed_on', models.DateField(verbose_name='reversed on')),
                ('reason', models.CharField(max_length=200, verbose_name='why')),
                ('still_bought', models.BooleanField(verbose_name='the bike is bought, and entered anew')),
                ('at', models.DateTimeField(auto_now_add=True)),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('pool_entry', models.OneToOneField(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='stock_reversal', to='pool.poolentry')),
                ('purchase', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, related_name='reversal', to='sales.purchase')),
            ],
            options={
                'ordering': ('pk',),
                'constraints': [models.CheckConstraint(condition=models.Q(('reason', ''), _negated=True), name='reversal_says_why')],
            },
        ),
        migrations.RunPython(install(*OF_PURCHASES), remove(*OF_PURCHASES)),
        migrations.RunPython(install(*REVERSING), remove(*REVERSING)),
    ]
