"""The answer to a sent revision, line by line."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from simple_history.models import HistoricalRecords

from quotes.quoting.models import Line, Revision


class Acceptance(models.Model):
    """A customer's answer, recorded at the counter; its outcome is the revision's state."""

    revision = models.OneToOneField(Revision, on_delete=models.PROTECT, related_name="answer")
    decided_by = models.CharField("name of who decides", max_length=120)
    recorded_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    at = models.DateTimeField("recorded at", auto_now_add=True)
    note = models.CharField("note", max_length=500, blank=True)
    history = HistoricalRecords()

    class Meta:
        """Newest first."""

        ordering = ("-at",)
        constraints = (
            models.CheckConstraint(
                condition=~models.Q(decided_by=""), name="acceptance_has_a_name"
            ),
        )

    def __str__(self) -> str:
        """Return the revision with who decided."""
        return f"{self.revision}: {self.decided_by}"


class LineDecision(models.Model):
    """Yes or no to one line of a revision."""

    acceptance = models.ForeignKey(Acceptance, on_delete=models.CASCADE, related_name="decisions")
    line = models.OneToOneField(Line, on_delete=models.PROTECT, related_name="decision")
    accepted = models.BooleanField("accepted")

    class Meta:
        """In the order of the lines."""

        ordering = ("line__position",)

    def __str__(self) -> str:
        """Return yes or no with the line."""
        return f"{'yes' if self.accepted else 'no'}: {self.line}"
