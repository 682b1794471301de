"""What may hide in a bike, and decision sheets: what a decision was made on, kept as it was."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
from simple_history.models import HistoricalRecords

from inventory.fields import MoneyField
from quotes.buyin.models import MarginCheck
from workshop.inspections.models import Checkpoint, Fault
from workshop.shop.models import SHARE

MOST_LIKELY = Decimal("0.6")
"""A hidden fault is at most so probable: on a bike of the hardest life it is then near certain."""


class HiddenRisk(models.Model):
    """A fault that an inspection cannot see, with its probability and its cost if it is there.

    It is reckoned with on bikes of these ``frames``, ``brakes``, ``gears`` and ``uses`` (empty:
    all) and of that age in years; an unknown age matches every one. With ``checkpoint`` or
    ``faults`` it waits until something was found there or one of these was; it is not reckoned
    with where one of ``unless`` was found: then it hides no more. Costs are the shop's, net.
    """

    code = models.SlugField("code", max_length=60, unique=True)
    words = models.CharField("what may come to light", max_length=120)
    probability = models.DecimalField(
        "probability",
        validators=[MinValueValidator(Decimal("0.01")), MaxValueValidator(MOST_LIKELY)],
        help_text="For a bike of an ordinary life.",
        **SHARE,
    )
    cost_low_net = MoneyField("cost at best, net")
    cost_net = MoneyField("cost, net")
    cost_high_net = MoneyField("cost at worst, net")
    checkpoint = models.ForeignKey(
        Checkpoint,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
        verbose_name="once something was found at",
    )
    faults = models.ManyToManyField(
        Fault, blank=True, related_name="+", verbose_name="once one of these was found"
    )
    unless = models.ManyToManyField(
        Fault, blank=True, related_name="+", verbose_name="not where one of these was found"
    )
    age_from = models.PositiveSmallIntegerField("from age, years", null=True, blank=True)
    age_below = models.PositiveSmallIntegerField("below age, years", null=True, blank=True)
    frames = models.JSONField("frames", default=list, blank=True)
    brakes = models.JSONField("brakes", default=list, blank=True)
    gears = models.JSONField("gears", default=list, blank=True)
    uses = models.JSONField("use", default=list, blank=True)
    source = models.CharField("source", max_length=200)
    active = models.BooleanField("in use", default=True)
    history = HistoricalRecords(m2m_fields=[faults, unless])

    class Meta:
        """Order and the limits that the database holds."""

        ordering = ("words", "pk")
        constraints = (
            models.CheckConstraint(
                condition=Q(probability__gt=0) & Q(probability__lte=MOST_LIKELY),
                name="hidden_risk_probability",
                violation_error_message="A probability lies above 0 and is at most 60 %.",
            ),
            models.CheckConstraint(
                condition=Q(cost_low_net__gte=0)
                & Q(cost_net__gte=F("cost_low_net"))
                & Q(cost_high_net__gte=F("cost_net")),
                name="hidden_risk_costs_in_order",
                violation_error_message="Costs go up from best to worst.",
            ),
            models.CheckConstraint(
                condition=Q(age_from__isnull=True)
                | Q(age_below__isnull=True)
                | Q(age_below__gt=F("age_from")),
                name="hidden_risk_ages_in_order",
                violation_error_message="The age below must be above the age from.",
            ),
        )

    def __str__(self) -> str:
        """Return the words."""
        return self.words


class KeptError(Exception):
    """Raised where a decision sheet would be changed or deleted."""


class DecisionSheet(models.Model):
    """What a decision was made on: the figures that were on the page, with the seed of the draws.

    It belongs to the margin check saved with it, which holds the likely case and what was decided.
    """

    check_made = models.OneToOneField(
        MarginCheck, on_delete=models.PROTECT, related_name="sheet", verbose_name="margin check"
    )
    figures = models.JSONField("figures")

    def __str__(self) -> str:
        """Return the margin check it belongs to."""
        return f"Decision sheet of {self.check_made}"

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Save once; raises KeptError where it is saved already."""
        if not self._state.adding:
            raise KeptError(f"{self} stays as it was saved. Make a new one.")
        super().save(*args, **kwargs)

    def delete(self, *args: Any, **kwargs: Any) -> tuple[int, dict[str, int]]:
        """Refuse; raises KeptError."""
        raise KeptError(f"{self} is kept.")
