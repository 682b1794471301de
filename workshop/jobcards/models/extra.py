"""Extra work: a fault found on strip-down that was not on the quote."""

from __future__ import annotations

from django.conf import settings
from django.db import models

from inventory.fields import MoneyField
from workshop.inspections.models import Finding
from workshop.jobcards.models.cards import PERSON, JobCard


class ExtraState(models.TextChoices):
    """What the customer says to it."""

    WAITING = "waiting", "waits for the customer"
    AGREED = "agreed", "agreed beforehand"
    ACCEPTED = "accepted", "accepted"
    REFUSED = "refused", "refused"


class ExtraWork(models.Model):
    """A new finding from the bench; the tasks it stops name it.

    ``extra_gross`` is what it adds to the bill, with VAT, as far as it is known.
    """

    card = models.ForeignKey(JobCard, on_delete=models.CASCADE, related_name="extras")
    finding = models.ForeignKey(Finding, on_delete=models.PROTECT, related_name="+")
    note = models.CharField("note", max_length=1000, blank=True)
    state = models.CharField(
        "state", max_length=8, choices=ExtraState.choices, default=ExtraState.WAITING
    )
    revision_number = models.PositiveSmallIntegerField("in revision", null=True, blank=True)
    extra_gross = MoneyField("adds, with VAT", null=True, blank=True, signed=True)
    words = models.CharField("what happens now", max_length=240, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, **PERSON)
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        """Newest first; a finding is reported once a card."""

        ordering = ("-pk",)
        constraints = (
            models.UniqueConstraint(fields=("card", "finding"), name="one_extra_a_finding"),
        )

    def __str__(self) -> str:
        """Return what was found."""
        return str(self.finding)

    @property
    def is_waiting(self) -> bool:
        """Tell whether the customer has not answered yet."""
        return self.state == ExtraState.WAITING
