"""The release check: what is looked at before a bike leaves, and who signed for it."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from simple_history.models import HistoricalRecords

from workshop.bikes.kinds import is_for
from workshop.bikes.models import Bike
from workshop.jobcards.models.cards import PERSON, JobCard


class ReleaseItem(models.Model):
    """One thing that is looked at before a bike leaves.

    ``frames``, ``brakes``, ``gears`` and ``equipment`` say which bikes it is for; an empty list
    means all.
    """

    code = models.SlugField("code", max_length=60, unique=True)
    name = models.CharField("name", max_length=120)
    how = models.CharField("how to check it", max_length=400)
    order = models.PositiveSmallIntegerField("order", default=0)
    frames = models.JSONField("frames", default=list, blank=True)
    brakes = models.JSONField("brakes", default=list, blank=True)
    gears = models.JSONField("gears", default=list, blank=True)
    equipment = models.JSONField("equipment", default=list, blank=True)
    source = models.CharField("source", max_length=200, blank=True)
    active = models.BooleanField("in use", default=True)
    history = HistoricalRecords()

    class Meta:
        """In the order of the check."""

        ordering = ("order", "pk")

    def __str__(self) -> str:
        """Return the name."""
        return self.name

    def applies_to(self, bike: Bike) -> bool:
        """Tell whether it is looked at on the given bike."""
        return is_for(self, bike) and all(getattr(bike, name) for name in self.equipment)


class ReleaseCheck(models.Model):
    """A signature: this was looked at and is good."""

    card = models.ForeignKey(JobCard, on_delete=models.CASCADE, related_name="checks")
    item = models.ForeignKey(ReleaseItem, on_delete=models.PROTECT, related_name="+")
    note = models.CharField("note", max_length=200, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, **PERSON)
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        """In the order of the check; one signature an item."""

        ordering = ("item__order", "pk")
        constraints = (
            models.UniqueConstraint(fields=("card", "item"), name="one_signature_an_item"),
        )

    def __str__(self) -> str:
        """Return what was signed."""
        return f"{self.item}: {self.by}"
