"""Lets part of a price be paid back after the sale, by a credit note of its own."""

import django.db.models.deletion
import inventory.fields
from django.conf import settings
from django.db import migrations, models

from inventory.triggers import install, remove
from quotes.sales.freezing import GUARDS, REDUCING, REVERSING

BEFORE = (*GUARDS, *REVERSING)


class Migration(migrations.Migration):
    """The triggers are away while the table of papers, of which they speak, is rebuilt."""

    dependencies = [
        ('pool', '0003_prices_reduced_after_the_sale'),
        ('sales', '0003_reverse_a_purchase'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.RunPython(remove(*BEFORE), install(*BEFORE)),
        migrations.CreateModel(
            name='Reduction',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('number', models.CharField(max_length=12, unique=True, verbose_name='credit note')),
                ('reduced_on', models.DateField(verbose_name='paid back on')),
                ('reason', models.CharField(max_length=200, verbose_name='why')),
                ('amount', inventory.fields.MoneyField(decimal_places=4, max_digits=14, verbose_name='paid back')),
                ('vat', inventory.fields.MoneyField(decimal_places=4, default=0, max_digits=14, verbose_name='VAT that falls away')),
                ('left', inventory.fields.MoneyField(decimal_places=4, max_digits=14, verbose_name='left of the line')),
                ('at', models.DateTimeField(auto_now_add=True)),
            ],
            options={
                'ordering': ('pk',),
            },
        ),
        migrations.RemoveConstraint(
            model_name='paper',
            name='paper_of_one_thing',
        ),
        migrations.AddField(
            model_name='reduction',
            name='by',
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL),
        ),
        migrations.AddField(
            model_name='reduction',
            name='line',
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='reductions', to='sales.line'),
        ),
        migrations.AddField(
            model_name='reduction',
            name='pool_entry',
            field=models.OneToOneField(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='stock_reduction', to='pool.poolentry'),
        ),
        migrations.AddField(
            model_name='reduction',
            name='sale',
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='reductions', to='sales.sale'),
        ),
        migrations.AddField(
            model_name='paper',
            name='reduction',
            field=models.OneToOneField(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='paper', to='sales.reduction'),
        ),
        migrations.AddConstraint(
            model_name='paper',
            constraint=models.CheckConstraint(condition=models.Q(models.Q(('credit_note__isnull', True), ('purchase__isnull', False), ('reduction__isnull', True), ('sale__isnull', True)), models.Q(('credit_note__isnull', True), ('purchase__isnull', True), ('reduction__isnull', True), ('sale__isnull', False)), models.Q(('credit_note__isnull', False), ('purchase__isnull', True), ('reduction__isnull', True), ('sale__isnull', True)), models.Q(('credit_note__isnull', True), ('purchase__isnull', True), ('reduction__isnull', False), ('sale__isnull', True)), _connector='OR'), name='paper_of_one_thing'),
        ),
        migrations.AddConstraint(
            model_name='reduction',
            constraint=models.CheckConstraint(condition=models.Q(('amount__gt', 0), ('left__gte', 0)), name='reduction_within_the_line'),
        ),
        migrations.AddConstraint(
            model_name='reduction',
            constraint=models.CheckConstraint(condition=models.Q(('vat__gte', 0), ('vat__lte', models.F('amount')), models.Q(('pool_entry__isnull', True), ('vat', 0), _connector='OR')), name='reduction_vat_in_amount'),
        ),
        migrations.AddConstraint(
            model_name='reduction',
            constraint=models.CheckConstraint(condition=models.Q(('reason', ''), _negated=True), name='reduction_says_why'),
        ),
        migrations.RunPython(install(*BEFORE), remove(*BEFORE)),
        migrations.RunPython(install(*REDUCING), remove(*REDUCING)),
    ]
