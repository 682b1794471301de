"""Parts as the shop keeps and sells them."""

from __future__ import annotations

from django.db import models
from django.db.models import F, Q
from simple_history.models import HistoricalRecords

from inventory.fields import MoneyField


class VatCode(models.TextChoices):
    """The kind of VAT rate an article or a service falls under; the rate itself is dated."""

    STANDARD = "standard", "standard rate"
    REDUCED = "reduced", "reduced rate"
    ZERO = "zero", "zero rate"


class Part(models.Model):
    """An article fitted to bikes, with its cost and selling price, both net of VAT.

    ``cost_low_net`` and ``cost_high_net`` are kept where the cost is uncertain; ``cost_net`` is
    the likely one. All three are per ``unit``.
    """

    code = models.SlugField("code", max_length=60, unique=True)
    name = models.CharField("name", max_length=120)
    unit = models.CharField("unit", max_length=12, default="pc", help_text="pc, pair, m, set …")
    cost_low_net = MoneyField("cost at best, net", null=True, blank=True)
    cost_net = MoneyField("cost, net", help_text="What the shop pays, without VAT.")
    cost_high_net = MoneyField("cost at worst, net", null=True, blank=True)
    price_net = MoneyField("selling price, net", help_text="What the customer pays, without VAT.")
    vat_code = models.CharField(
        "VAT", max_length=10, choices=VatCode.choices, default=VatCode.STANDARD
    )
    safety_critical = models.BooleanField("safety-critical", default=False)
    note = models.CharField("note", max_length=300, blank=True)
    active = models.BooleanField("in use", default=True)
    history = HistoricalRecords()

    class Meta:
        """Order and the limits that the database holds."""

        ordering = ("name",)
        constraints = (
            models.CheckConstraint(
                condition=Q(cost_net__gte=0) & Q(price_net__gte=0),
                name="part_money_not_negative",
            ),
            models.CheckConstraint(
                condition=Q(cost_low_net__isnull=True) | Q(cost_low_net__lte=F("cost_net")),
                name="part_cost_low_not_above_likely",
            ),
            models.CheckConstraint(
                condition=Q(cost_high_net__isnull=True) | Q(cost_high_net__gte=F("cost_net")),
                name="part_cost_high_not_below_likely",
            ),
        )

    def __str__(self) -> str:
        """Return the name with the code."""
        return f"{self.name} ({self.code})"
