"""Labour: skill bands and their dated rates, access steps, operations and remedies."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import F, Q
from simple_history.models import HistoricalRecords

from inventory.fields import MoneyField
from inventory.parts.models import Part

MINUTES: dict[str, Any] = {"max_digits": 6, "decimal_places": 1}
NOT_NEGATIVE = [MinValueValidator(Decimal(0))]


class SkillBand(models.Model):
    """A level of skill that is charged at a rate of its own."""

    code = models.SlugField("code", max_length=30, unique=True)
    name = models.CharField("name", max_length=60)
    history = HistoricalRecords()

    class Meta:
        """Order by name."""

        ordering = ("name",)

    def __str__(self) -> str:
        """Return the name."""
        return self.name


class LabourRate(models.Model):
    """Money per hour for a band from a date on, net of VAT.

    ``charged_net`` is what the customer pays an hour, ``cost_net`` what an hour costs the shop
    (wages and their on-costs).
    """

    band = models.ForeignKey(SkillBand, on_delete=models.PROTECT, related_name="rates")
    charged_net = MoneyField("charged an hour, net")
    cost_net = MoneyField("cost an hour")
    valid_from = models.DateField("valid from")
    history = HistoricalRecords()

    class Meta:
        """Order and the limits that the database holds."""

        ordering = ("band__name", "-valid_from")
        constraints = (
            models.UniqueConstraint(fields=("band", "valid_from"), name="one_labour_rate_a_day"),
            models.CheckConstraint(
                condition=Q(charged_net__gt=0) & Q(cost_net__gte=0), name="labour_rate_positive"
            ),
        )

    def __str__(self) -> str:
        """Return the band with its date."""
        return f"{self.band} from {self.valid_from}"


class AccessStep(models.Model):
    """Work to reach something, shared by the operations that need it and charged once.

    ``minutes`` cover both ways: out and in again. ``needs`` names the steps that must come first
    (the cassette comes off only when the rear wheel is out).
    """

    code = models.SlugField("code", max_length=60, unique=True)
    name = models.CharField("name", max_length=120)
    minutes = models.DecimalField("minutes, out and in", validators=NOT_NEGATIVE, **MINUTES)
    band = models.ForeignKey(SkillBand, on_delete=models.PROTECT, related_name="+")
    needs = models.ManyToManyField("self", symmetrical=False, blank=True, related_name="opens")
    history = HistoricalRecords(m2m_fields=[needs])

    class Meta:
        """Order and the limits that the database holds."""

        ordering = ("name",)
        constraints = (
            models.CheckConstraint(condition=Q(minutes__gte=0), name="access_minutes_positive"),
        )

    def __str__(self) -> str:
        """Return the name."""
        return self.name


class Operation(models.Model):
    """A piece of labour with its standard time in minutes, without its access steps.

    ``covers`` names operations that this one makes needless: a new wheel makes the hub service
    on the old one pointless. Torques are in N·m and are ours: the maker's figure goes before.
    """

    code = models.SlugField("code", max_length=60, unique=True)
    name = models.CharField("name", max_length=120)
    minutes_low = models.DecimalField(
        "minutes at best", null=True, blank=True, validators=NOT_NEGATIVE, **MINUTES
    )
    minutes = models.DecimalField("standard time, minutes", validators=NOT_NEGATIVE, **MINUTES)
    minutes_high = models.DecimalField(
        "minutes at worst", null=True, blank=True, validators=NOT_NEGATIVE, **MINUTES
    )
    band = models.ForeignKey(SkillBand, on_delete=models.PROTECT, related_name="+")
    access = models.ManyToManyField(
        AccessStep, blank=True, related_name="operations", verbose_name="access steps"
    )
    covers = models.ManyToManyField(
        "self",
        symmetrical=False,
        blank=True,
        related_name="covered_by",
        verbose_name="makes needless",
    )
    torque_low_nm = models.DecimalField(
        "torque from, N·m", max_digits=5, decimal_places=1, null=True, blank=True
    )
    torque_high_nm = models.DecimalField(
        "torque to, N·m", max_digits=5, decimal_places=1, null=True, blank=True
    )
    torque_source = models.CharField("source of the torque", max_length=200, blank=True)
    caution = models.CharField("caution", max_length=300, blank=True)
    history = HistoricalRecords(m2m_fields=[access, covers])

    class Meta:
        """Order and the limits that the database holds."""

        ordering = ("name",)
        constraints = (
            models.CheckConstraint(
                condition=(Q(minutes_low__isnull=True) | Q(minutes_low__lte=F("minutes")))
                & (Q(minutes_high__isnull=True) | Q(minutes_high__gte=F("minutes"))),
                name="operation_minutes_in_order",
            ),
            models.CheckConstraint(condition=Q(minutes__gte=0), name="operation_minutes_positive"),
        )

    def __str__(self) -> str:
        """Return the name."""
        return self.name


class RemedyKind(models.TextChoices):
    """How deep a remedy goes."""

    ADJUST = "adjust", "adjust"
    SERVICE = "service", "service"
    REPAIR = "repair", "repair"
    RENEW = "renew", "renew"


class Remedy(models.Model):
    """A way to cure a finding: operations and the parts they fit.

    ``frames``, ``brakes`` and ``gears`` say which bikes it is for; an empty list means all.
    """

    code = models.SlugField("code", max_length=60, unique=True)
    name = models.CharField("name", max_length=120)
    kind = models.CharField("kind", max_length=10, choices=RemedyKind.choices)
    words = models.CharField("in plain words", max_length=300, blank=True)
    operations = models.ManyToManyField(Operation, through="RemedyOperation")
    frames = models.JSONField("frames", default=list, blank=True)
    brakes = models.JSONField("brakes", default=list, blank=True)
    gears = models.JSONField("gears", default=list, blank=True)
    active = models.BooleanField("in use", default=True)
    history = HistoricalRecords()

    class Meta:
        """Order by name."""

        ordering = ("name",)
        verbose_name_plural = "remedies"

    def __str__(self) -> str:
        """Return the name."""
        return self.name


class RemedyOperation(models.Model):
    """An operation of a remedy; ``quantity`` multiplies its minutes (spokes to replace …)."""

    remedy = models.ForeignKey(Remedy, on_delete=models.CASCADE, related_name="steps")
    operation = models.ForeignKey(Operation, on_delete=models.PROTECT, related_name="+")
    quantity = models.PositiveSmallIntegerField("times", default=1)
    order = models.PositiveSmallIntegerField("order", default=0)
    history = HistoricalRecords()

    class Meta:
        """Order and the limits that the database holds."""

        ordering = ("remedy_id", "order", "pk")
        constraints = (
            models.UniqueConstraint(fields=("remedy", "operation"), name="operation_once_a_remedy"),
            models.CheckConstraint(
                condition=Q(quantity__gte=1), name="remedy_operation_at_least_once"
            ),
        )

    def __str__(self) -> str:
        """Return the operation's name."""
        return str(self.operation)


class RemedyPart(models.Model):
    """A part that a remedy uses, and the operation that fits it.

    Where several findings ask for the same operation it is done once and its parts are used
    once, in the largest quantity asked for.
    """

    remedy = models.ForeignKey(Remedy, on_delete=models.CASCADE, related_name="parts")
    operation = models.ForeignKey(Operation, on_delete=models.PROTECT, related_name="+")
    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="+")
    quantity = models.DecimalField(
        "quantity", max_digits=8, decimal_places=2, default=Decimal(1), validators=NOT_NEGATIVE
    )
    history = HistoricalRecords()

    class Meta:
        """Order and the limits that the database holds."""

        ordering = ("remedy_id", "pk")
        constraints = (
            models.UniqueConstraint(
                fields=("remedy", "operation", "part"), name="part_once_a_remedy_operation"
            ),
            models.CheckConstraint(condition=Q(quantity__gt=0), name="remedy_part_some"),
        )

    def __str__(self) -> str:
        """Return the part's name."""
        return str(self.part)
