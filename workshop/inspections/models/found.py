"""What was found: an inspection, its checks, readings, findings and photos."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q

from workshop.bikes.models import Bike
from workshop.core.judgement import Judgement
from workshop.core.naming import place_and_fault
from workshop.inspections.models.asked import (
    JUDGEMENTS,
    Checkpoint,
    Fault,
    JudgementRule,
    Measure,
)


class Outcome(models.TextChoices):
    """How a look at a checkpoint ended."""

    SOUND = "sound", "sound"
    FINDINGS = "findings", "something found"
    NOT_TESTED = "not_tested", "could not test"


class Inspection(models.Model):
    """The ordered examination of a bike, front to back; one at a time is open for a bike."""

    bike = models.ForeignKey(Bike, on_delete=models.PROTECT, related_name="inspections")
    started_at = models.DateTimeField(auto_now_add=True)
    started_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    finished_at = models.DateTimeField(null=True, blank=True)
    finished_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", null=True, blank=True
    )

    class Meta:
        """Order and the limits that the database holds."""

        ordering = ("-started_at", "-pk")
        constraints = (
            models.UniqueConstraint(
                fields=("bike",),
                condition=Q(finished_at__isnull=True),
                name="one_open_inspection_a_bike",
            ),
            models.CheckConstraint(
                condition=Q(finished_at__isnull=True) | Q(finished_by__isnull=False),
                name="finished_inspection_has_a_name",
            ),
        )

    def __str__(self) -> str:
        """Return the bike and the day."""
        return f"inspection of {self.bike} on {self.started_at:%Y-%m-%d}"


class Check(models.Model):
    """One checkpoint looked at in one inspection.

    ``version`` counts the changes: who saves on top of an older version is refused, so that two
    people never overwrite each other.
    """

    inspection = models.ForeignKey(Inspection, on_delete=models.CASCADE, related_name="checks")
    checkpoint = models.ForeignKey(Checkpoint, on_delete=models.PROTECT, related_name="+")
    outcome = models.CharField("outcome", max_length=12, choices=Outcome.choices)
    not_tested_reason = models.CharField("why it could not be tested", max_length=200, blank=True)
    note = models.TextField("note", max_length=1000, blank=True)
    version = models.PositiveIntegerField(default=1)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now=True)

    class Meta:
        """Order and the limits that the database holds."""

        ordering = ("checkpoint__order",)
        constraints = (
            models.UniqueConstraint(
                fields=("inspection", "checkpoint"), name="one_check_a_checkpoint"
            ),
            models.CheckConstraint(
                condition=~Q(outcome="not_tested") | ~Q(not_tested_reason=""),
                name="not_tested_has_a_reason",
            ),
        )

    def __str__(self) -> str:
        """Return the checkpoint and the outcome."""
        return f"{self.checkpoint}: {self.get_outcome_display()}"


class Reading(models.Model):
    """A measured value at a check, in the measure's unit."""

    check_made = models.ForeignKey(Check, on_delete=models.CASCADE, related_name="readings")
    measure = models.ForeignKey(Measure, on_delete=models.PROTECT, related_name="+")
    value = models.DecimalField("value", max_digits=9, decimal_places=3)

    class Meta:
        """Order and the limits that the database holds."""

        ordering = ("measure__order", "pk")
        constraints = (
            models.UniqueConstraint(fields=("check_made", "measure"), name="one_reading_a_measure"),
        )

    def __str__(self) -> str:
        """Return the value with its unit."""
        return f"{self.value.normalize():f} {self.measure.unit}"


class Finding(models.Model):
    """What was seen or measured wrong at a checkpoint, with its judgement.

    ``rule`` and ``rule_judgement`` keep what the rules said at the time; where the judgement
    differs a person has overridden it, for ``override_reason``.
    """

    check_made = models.ForeignKey(Check, on_delete=models.CASCADE, related_name="findings")
    fault = models.ForeignKey(Fault, on_delete=models.PROTECT, related_name="+")
    judgement = models.CharField("judgement", max_length=12, choices=JUDGEMENTS)
    rule = models.ForeignKey(
        JudgementRule, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    rule_judgement = models.CharField("judgement by rule", max_length=12, choices=JUDGEMENTS)
    override_reason = models.CharField("reason to judge otherwise", max_length=300, blank=True)
    deal_breaker = models.BooleanField("deal-breaker", default=False)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        """Order and the limits that the database holds."""

        ordering = ("check_made__checkpoint__order", "fault__order", "pk")
        constraints = (
            models.UniqueConstraint(fields=("check_made", "fault"), name="one_finding_a_fault"),
            models.CheckConstraint(
                condition=Q(judgement=models.F("rule_judgement")) | ~Q(override_reason=""),
                name="override_has_a_reason",
            ),
        )

    def __str__(self) -> str:
        """Return the checkpoint with what is wrong."""
        return place_and_fault(str(self.fault.checkpoint), str(self.fault))

    @property
    def judged(self) -> Judgement:
        """Return the judgement as the core knows it."""
        return Judgement(self.judgement)


class Photo(models.Model):
    """A photo taken at a check; ``image`` is re-encoded and carries no camera data."""

    check_made = models.ForeignKey(Check, on_delete=models.CASCADE, related_name="photos")
    image = models.ImageField("photo", upload_to="checks/%Y/%m/")
    caption = models.CharField("caption", max_length=120, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        """In the order they were taken."""

        ordering = ("at", "pk")

    def __str__(self) -> str:
        """Return the caption or a plain word."""
        return self.caption or "photo"
