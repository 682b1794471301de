"""Deletes a comparable that was entered by mistake; its history stays."""

from __future__ import annotations

from django.db import transaction

from quotes.resale.models import Comparable


@transaction.atomic
def remove_comparable(comparable: Comparable) -> None:
    """Delete the comparable, and with it what was noted on dropping it."""
    comparable.delete()
