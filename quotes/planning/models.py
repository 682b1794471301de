"""Service packages, remedies that go or do not go together, locks by hand, plans taken."""

from __future__ import annotations

from django.conf import settings
from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import F, Q
from simple_history.models import HistoricalRecords

from inventory.fields import MoneyField
from quotes.quoting.models import Revision
from workshop.inspections.models import Fault, Finding
from workshop.labour.models import Remedy


class ServicePackage(models.Model):
    """A remedy that cures several faults at once, offered once enough of them were found."""

    code = models.SlugField("code", max_length=60, unique=True)
    name = models.CharField("name", max_length=120)
    remedy = models.ForeignKey(
        Remedy, on_delete=models.PROTECT, related_name="packages", verbose_name="its work"
    )
    faults = models.ManyToManyField(Fault, related_name="packages", verbose_name="faults it cures")
    at_least = models.PositiveSmallIntegerField(
        "once so many of them were found", default=2, validators=[MinValueValidator(2)]
    )
    active = models.BooleanField("in use", default=True)
    history = HistoricalRecords(m2m_fields=[faults])

    class Meta:
        """Order and the limits that the database holds."""

        ordering = ("name",)
        constraints = (
            models.CheckConstraint(condition=Q(at_least__gte=2), name="package_cures_several"),
        )

    def __str__(self) -> str:
        """Return the name."""
        return self.name


class BondKind(models.TextChoices):
    """How two remedies stand to each other."""

    NEEDS = "needs", "needs the other where both are possible"
    EXCLUDES = "excludes", "never with the other"


class RemedyBond(models.Model):
    """Two remedies that go together, or do not.

    ``needs`` binds only where the other remedy cures something that was found: it says that the
    other finding must then be cured by it and not in another way.
    """

    code = models.SlugField("code", max_length=60, unique=True)
    remedy = models.ForeignKey(Remedy, on_delete=models.CASCADE, related_name="bonds")
    kind = models.CharField("how", max_length=8, choices=BondKind.choices)
    other = models.ForeignKey(Remedy, on_delete=models.CASCADE, related_name="+")
    words = models.CharField("why", max_length=200)
    active = models.BooleanField("in use", default=True)
    history = HistoricalRecords()

    class Meta:
        """Order and the limits that the database holds."""

        ordering = ("remedy__name", "pk")
        constraints = (
            models.UniqueConstraint(fields=("remedy", "kind", "other"), name="one_bond_a_pair"),
            models.CheckConstraint(
                condition=~Q(remedy=F("other")),
                name="bond_of_two",
                violation_error_message="Choose two different remedies.",
            ),
        )

    def __str__(self) -> str:
        """Return both remedies."""
        return f"{self.remedy} {self.kind} {self.other}"


class LockKind(models.TextChoices):
    """What a lock asks for."""

    LOCK = "lock", "only this way"
    BAR = "bar", "not this way"


class PlanLock(models.Model):
    """A remedy that must, or must not, cure a finding, set by hand with a reason."""

    finding = models.ForeignKey(Finding, on_delete=models.CASCADE, related_name="plan_locks")
    remedy = models.ForeignKey(Remedy, on_delete=models.CASCADE, related_name="+")
    kind = models.CharField("kind", max_length=4, choices=LockKind.choices)
    reason = models.CharField("reason", max_length=200)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)
    history = HistoricalRecords()

    class Meta:
        """Order and the limits that the database holds."""

        ordering = ("pk",)
        constraints = (
            models.UniqueConstraint(fields=("finding", "remedy"), name="one_lock_a_remedy"),
            models.UniqueConstraint(
                fields=("finding",), condition=Q(kind="lock"), name="one_way_locked_a_finding"
            ),
            models.CheckConstraint(condition=~Q(reason=""), name="lock_has_a_reason"),
        )

    def __str__(self) -> str:
        """Return what is asked for."""
        return f"{self.get_kind_display()}: {self.remedy}"


class TakenPlan(models.Model):
    """A plan that was taken into a draft: what it chose for each finding, and why.

    ``by_cost`` says that the shop's cost was least, else the customer's price. Amounts are net,
    of labour, access and parts. ``choices`` are rows {"finding", "remedy", "reason"} of primary
    keys and words.
    """

    revision = models.ForeignKey(Revision, on_delete=models.CASCADE, related_name="plans_taken")
    by_cost = models.BooleanField("least for the shop")
    amount = MoneyField("the plan, net")
    plain_sum = MoneyField("each finding by itself, net")
    choices = models.JSONField("choices", default=list)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        """Newest first."""

        ordering = ("-pk",)

    def __str__(self) -> str:
        """Return the revision it was taken into."""
        return f"Plan taken into {self.revision}"
