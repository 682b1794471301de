"""Rows of this room that are written once."""

from __future__ import annotations

from typing import Any

from django.db import models


class KeptError(Exception):
    """Raised where something of the stock book would be changed or deleted."""

    def __init__(self, record: models.Model) -> None:
        super().__init__(
            f"“{record}” stands in the stock book and stays as it is. A sale is taken back with a "
            "credit note, a purchase is reversed."
        )


class Kept(models.Model):
    """A row that is written once; the database refuses to change it by triggers."""

    class Meta:
        abstract = True

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Save once; raises KeptError where it is saved already."""
        if not self._state.adding:
            raise KeptError(self)
        super().save(*args, **kwargs)

    def delete(self, *args: Any, **kwargs: Any) -> tuple[int, dict[str, int]]:
        """Refuse. Raises KeptError."""
        raise KeptError(self)
