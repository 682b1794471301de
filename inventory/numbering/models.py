"""Counters, one row a kind of number."""

from __future__ import annotations

from django.db import models


class Counter(models.Model):
    """The last number given out of one kind; the row is locked while the next one is taken."""

    name = models.CharField("name", max_length=30, primary_key=True)
    value = models.PositiveIntegerField("last number given", default=0)

    class Meta:
        """Order by name."""

        ordering = ("name",)

    def __str__(self) -> str:
        """Return the name with the last number."""
        return f"{self.name}: {self.value}"
