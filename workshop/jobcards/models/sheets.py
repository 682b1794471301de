"""Release sheets: what the customer is given as the bike leaves, kept as it was printed."""

from __future__ import annotations

from typing import Any

from django.db import models

from workshop.jobcards.models.cards import JobCard


class KeptSheetError(Exception):
    """Raised where a release sheet would be changed or deleted."""


class ReleaseSheet(models.Model):
    """The PDF of a release as it was made, byte for byte."""

    card = models.OneToOneField(JobCard, on_delete=models.PROTECT, related_name="sheet")
    pdf = models.BinaryField()
    sha256 = models.CharField(max_length=64)
    made_at = models.DateTimeField(auto_now_add=True)

    def __str__(self) -> str:
        """Return whose it is."""
        return f"Release sheet of {self.card}"

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Save once; raises KeptSheetError where it is saved already."""
        if not self._state.adding:
            raise KeptSheetError(f"{self} stays as it was given to the customer.")
        super().save(*args, **kwargs)

    def delete(self, *args: Any, **kwargs: Any) -> tuple[int, dict[str, int]]:
        """Refuse; raises KeptSheetError."""
        raise KeptSheetError(f"{self} is kept.")
